// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/load_envelope.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/session/plate_signal.h"
#include "core/session/sample_type.h"
#include "core/stats/median.h"

namespace moundwork::session {
namespace {

constexpr float none = std::numeric_limits<float>::quiet_NaN();

/// Vertical force as an affine map of a device's raw row.
struct VerticalMap {
  Eigen::VectorXf weights;
  float constant = 0.0F;
};

Result<VerticalMap> vertical_map(const Session& session, const Plate& plate) {
  const auto signal = PlateSignal::make(session, plate);
  if (!signal) return tl::make_unexpected(signal.error());
  const RawForce force = signal->raw_force();
  return VerticalMap{force.weights.row(2).transpose().cast<float>(),
                     static_cast<float>(force.constant.z())};
}

template <class Scalar>
Result<void> stream(const RowSource& reader, int device, const VerticalMap& map,
                    LoadEnvelope& envelope, const Progress& progress) {
  const Eigen::Index rows = reader.sample_count(device);
  constexpr Eigen::Index bin_rows = LoadEnvelope::rows_per_bin;
  constexpr Eigen::Index piece = 256 * bin_rows;
  RawTable<Scalar> raw;
  Eigen::VectorXf force;
  for (Eigen::Index row = 0; row < rows; row += piece) {
    const Eigen::Index count = std::min(piece, rows - row);
    if (auto read = reader.read(device, row, count, raw); !read) return read;
    force.noalias() = raw.template cast<float>() * map.weights;
    for (Eigen::Index i = 0; i < count; i += bin_rows) {
      const auto bin = force.segment(i, std::min(bin_rows, count - i));
      envelope.least((row + i) / bin_rows) = bin.minCoeff() + map.constant;
      envelope.greatest((row + i) / bin_rows) = bin.maxCoeff() + map.constant;
    }
    if (!goes_on(progress, static_cast<double>(row + count) / static_cast<double>(rows)))
      return stopped(reader.name());
  }
  return {};
}

void set_times(const SampleClock& clock, LoadEnvelope& envelope) {
  constexpr Eigen::Index bin_rows = LoadEnvelope::rows_per_bin;
  for (const Run& run : clock.runs()) {
    // A bin that holds a gap counts to the run in which it begins.
    const Eigen::Index first = (run.first_row + bin_rows - 1) / bin_rows;
    const Eigen::Index last = (run.first_row + run.rows + bin_rows - 1) / bin_rows;
    if (run.first_row > 0 && first < envelope.size()) envelope.run_starts.push_back(first);
    for (Eigen::Index bin = first; bin < std::min(last, envelope.size()); ++bin)
      envelope.time(bin) = seconds(clock.at(run, bin * bin_rows));
  }
  envelope.end = seconds(clock.end());
}

void take_off_median(LoadEnvelope& envelope) {
  if (envelope.size() == 0) return;
  const float median = stats::median(Eigen::ArrayXf(0.5F * (envelope.least + envelope.greatest)));
  envelope.least -= median;
  envelope.greatest -= median;
}

}  // namespace

Result<LoadEnvelope> trace_envelope(const RowSource& reader, const Plate& plate,
                                    const SampleClock& clock, const Progress& progress) {
  const Device& device = reader.session().devices[static_cast<std::size_t>(plate.device)];
  const auto map = vertical_map(reader.session(), plate);
  if (!map) return tl::make_unexpected(map.error());
  constexpr Eigen::Index bin_rows = LoadEnvelope::rows_per_bin;
  const Eigen::Index bins = (reader.sample_count(plate.device) + bin_rows - 1) / bin_rows;
  LoadEnvelope envelope;
  envelope.time = Eigen::ArrayXd::Zero(bins);
  envelope.least = Eigen::ArrayXf::Constant(bins, none);
  envelope.greatest = envelope.least;
  const auto streamed = with_sample_type(device.sample_type, [&](auto scalar) {
    return stream<decltype(scalar)>(reader, plate.device, *map, envelope, progress);
  });
  if (!streamed) return tl::make_unexpected(streamed.error());
  set_times(clock, envelope);
  take_off_median(envelope);
  return envelope;
}

EnvelopeView view_of(const LoadEnvelope& envelope, double from, double to, int columns) {
  EnvelopeView view;
  const auto* begin = envelope.time.data();
  const auto* end = begin + envelope.size();
  // One bin to either side, so that the line runs out of the picture.
  const Eigen::Index first =
      std::max<Eigen::Index>(0, std::lower_bound(begin, end, from) - begin - 1);
  const Eigen::Index last = std::min(envelope.size(), std::upper_bound(begin, end, to) - begin + 1);
  Eigen::Index joined = 1;
  while ((last - first) / joined > std::max(1, columns)) joined *= 2;
  auto next_break = std::lower_bound(envelope.run_starts.begin(), envelope.run_starts.end(), first);
  for (Eigen::Index bin = first / joined * joined; bin < last; bin += joined) {
    const Eigen::Index count = std::min(joined, envelope.size() - bin);
    bool broken = false;
    while (next_break != envelope.run_starts.end() && *next_break < bin + count) {
      broken = true;
      ++next_break;
    }
    if (broken && !view.time.empty()) {
      view.time.push_back(envelope.time(bin));
      view.least.push_back(std::numeric_limits<double>::quiet_NaN());
      view.greatest.push_back(std::numeric_limits<double>::quiet_NaN());
    }
    view.time.push_back(envelope.time(bin));
    view.least.push_back(envelope.least.segment(bin, count).minCoeff());
    view.greatest.push_back(envelope.greatest.segment(bin, count).maxCoeff());
  }
  return view;
}

}  // namespace moundwork::session
