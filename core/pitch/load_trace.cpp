// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/load_trace.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/plate/wrench.h"

namespace moundwork::pitch {
namespace {

// Vertical and forward force as one affine map of a device's raw row.
struct RawMap {
  Eigen::Matrix<float, Eigen::Dynamic, 2> weights;  // device channels x (vertical, forward)
  Eigen::RowVector2f constant;
};

RawMap raw_map(const session::Device& device, const session::Plate& plate,
               const plate::WrenchMap& map) {
  const auto channels = static_cast<Eigen::Index>(device.channels.size());
  Eigen::MatrixX2d weights = Eigen::MatrixX2d::Zero(channels, 2);
  Eigen::RowVector2d constant = Eigen::RowVector2d::Zero();
  for (std::size_t c = 0; c < plate.channels.size(); ++c) {
    const int column = plate.channels[c];
    const session::Channel& channel = device.channels[static_cast<std::size_t>(column)];
    const auto component = static_cast<Eigen::Index>(c);
    const Eigen::RowVector2d per_unit(map.force_matrix()(2, component),
                                      map.force_matrix()(0, component));
    weights.row(column) += per_unit * channel.scale;
    constant -= per_unit * channel.scale * channel.offset;
  }
  return {weights.cast<float>(), constant.cast<float>()};
}

// Sums samples into the bins they fall in.
class Binner {
 public:
  Binner(LoadTrace& trace) : trace_(trace) {}

  void add(Eigen::Index bin, const Eigen::RowVector2f& sum, Eigen::Index samples) {
    if (bin != bin_) settle();
    bin_ = bin;
    sum_ += sum;
    samples_ += samples;
  }

  void settle() {
    if (samples_ > 0 && bin_ >= 0 && bin_ < trace_.size()) {
      trace_.vertical(bin_) = sum_(0) / static_cast<float>(samples_);
      trace_.forward(bin_) = sum_(1) / static_cast<float>(samples_);
    }
    sum_.setZero();
    samples_ = 0;
  }

 private:
  LoadTrace& trace_;
  Eigen::Index bin_ = -1;
  Eigen::RowVector2f sum_ = Eigen::RowVector2f::Zero();
  Eigen::Index samples_ = 0;
};

template <class Scalar>
Result<void> stream(const session::Reader& reader, const session::Plate& plate,
                    const session::SampleClock& clock, const RawMap& map, LoadTrace& trace,
                    const RowsDone& rows_done) {
  // About half a megabyte a piece: stays in the processor's cache between reading and summing.
  constexpr Eigen::Index piece_bytes = 512 * 1024;
  const Eigen::Index piece = std::max<Eigen::Index>(
      1024, piece_bytes / (map.weights.rows() * static_cast<Eigen::Index>(sizeof(Scalar))));
  session::RawTable<Scalar> raw;
  Eigen::MatrixX2f forces;
  Binner binner(trace);
  Eigen::Index done = 0;
  for (const session::Run& run : clock.runs()) {
    const Eigen::Index end = run.first_row + run.rows;
    for (Eigen::Index row = run.first_row; row < end; row += piece) {
      const Eigen::Index count = std::min(piece, end - row);
      if (auto read = reader.read(plate.device, row, count, raw); !read) return read;
      forces.noalias() = raw.template cast<float>() * map.weights;
      forces.rowwise() += map.constant;
      // Within a piece the clock is a line, so the bins' edges are found without asking it again.
      const double step = clock.step(run, row);
      const double first = (clock.at(run, row) - trace.start).count();
      Eigen::Index i = 0;
      while (i < count) {
        const double t = first + static_cast<double>(i) * step;
        const auto bin = static_cast<Eigen::Index>(std::floor(t / trace_bin));
        const double next_edge = static_cast<double>(bin + 1) * trace_bin;
        auto until = static_cast<Eigen::Index>(std::ceil((next_edge - first) / step));
        until = std::clamp(until, i + 1, count);
        binner.add(bin, forces.middleRows(i, until - i).colwise().sum(), until - i);
        i = until;
      }
      done += count;
      if (rows_done && !rows_done(done))
        return fail(reader.path().string(), "the analysis was stopped", "nothing was written");
    }
  }
  binner.settle();
  return {};
}

}  // namespace

Result<LoadTrace> trace_load(const session::Reader& reader, const session::Plate& plate,
                             const session::SampleClock& clock, SessionTime start, SessionTime end,
                             const RowsDone& rows_done) {
  const session::Device& device = reader.session().devices[static_cast<std::size_t>(plate.device)];
  const auto wrench_map = plate::WrenchMap::make(plate.description);
  if (!wrench_map) return tl::make_unexpected(wrench_map.error());
  const RawMap map = raw_map(device, plate, *wrench_map);
  LoadTrace trace;
  trace.start = start;
  const auto bins = static_cast<Eigen::Index>(std::ceil((end - start).count() / trace_bin)) + 1;
  // A clock that lies must not ask for the memory of a century.
  constexpr Eigen::Index most_bins = 200LL * 60 * 60 * 48;
  if (bins <= 0 || bins > most_bins)
    return fail(reader.path().string(), "its devices' clocks span more than two days",
                "split the recording");
  trace.vertical = Eigen::ArrayXf::Constant(bins, std::numeric_limits<float>::quiet_NaN());
  trace.forward = trace.vertical;
  Result<void> streamed;
  switch (device.sample_type) {
    case session::SampleType::int16:
      streamed = stream<std::int16_t>(reader, plate, clock, map, trace, rows_done);
      break;
    case session::SampleType::int32:
      streamed = stream<std::int32_t>(reader, plate, clock, map, trace, rows_done);
      break;
    case session::SampleType::float32:
      streamed = stream<float>(reader, plate, clock, map, trace, rows_done);
      break;
    case session::SampleType::float64:
      streamed = stream<double>(reader, plate, clock, map, trace, rows_done);
      break;
  }
  if (!streamed) return tl::make_unexpected(streamed.error());
  return trace;
}

}  // namespace moundwork::pitch
