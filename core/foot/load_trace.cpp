// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/load_trace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <type_traits>
#include <utility>

#include "core/session/plate_signal.h"
#include "core/session/sample_type.h"

namespace moundwork::foot {
namespace {

// Vertical and forward force of each plate as one affine map of a device's raw row.
struct RawMap {
  Eigen::MatrixXd weights;  // (vertical, forward of a plate, of the next, ...) x device channels
  Eigen::VectorXd constant;
};

RawMap vertical_and_forward(const std::vector<session::RawForce>& forces) {
  RawMap raw;
  raw.weights.resize(2 * static_cast<Eigen::Index>(forces.size()), forces.front().weights.cols());
  raw.constant.resize(raw.weights.rows());
  Eigen::Index row = 0;
  for (const session::RawForce& force : forces) {
    raw.weights.row(row) = force.weights.row(2);
    raw.constant(row++) = force.constant.z();
    raw.weights.row(row) = force.weights.row(0);
    raw.constant(row++) = force.constant.x();
  }
  return raw;
}

// Sums raw rows into the bins they fall in; the map is affine, so it is applied once a bin and not
// once a sample. A number of channels known beforehand lets the sums stay in registers.
template <class Scalar, int channels>
class Binner {
 public:
  Binner(const RawMap& map, std::vector<LoadTrace>& traces) : map_(map), traces_(traces) {
    sum_.setZero(map.weights.cols());
  }

  void add(Eigen::Index bin, const Scalar* rows, Eigen::Index count) {
    if (bin != bin_) settle();
    bin_ = bin;
    Sum sum = sum_;
    for (Eigen::Index i = 0; i < count; ++i, rows += sum.size())
      sum += Eigen::Map<const Row>(rows, sum.size()).template cast<Total>();
    sum_ = sum;
    samples_ += count;
  }

  void settle() {
    if (samples_ > 0 && bin_ >= 0 && bin_ < traces_.front().size()) {
      mean_ = (sum_.template cast<double>() / static_cast<double>(samples_)).matrix();
      Eigen::Index row = 0;
      for (LoadTrace& trace : traces_) {
        trace.vertical(bin_) =
            static_cast<float>(map_.weights.row(row).dot(mean_) + map_.constant(row));
        trace.forward(bin_) =
            static_cast<float>(map_.weights.row(row + 1).dot(mean_) + map_.constant(row + 1));
        row += 2;
      }
    }
    sum_.setZero();
    samples_ = 0;
  }

 private:
  using Total = std::conditional_t<std::is_integral_v<Scalar>, std::int64_t, double>;
  using Sum = Eigen::Array<Total, channels, 1>;
  using Row = Eigen::Array<Scalar, channels, 1>;
  const RawMap& map_;
  std::vector<LoadTrace>& traces_;
  Eigen::Index bin_ = -1;
  Sum sum_;
  Eigen::Matrix<double, channels, 1> mean_;
  Eigen::Index samples_ = 0;
};

// The first of `rows` rows at or after `place`, itself counted in rows.
Eigen::Index row_from(double place, Eigen::Index rows) {
  if (!(place > 0.0)) return 0;
  if (place >= static_cast<double>(rows)) return rows;
  const auto whole = static_cast<Eigen::Index>(place);
  return static_cast<double>(whole) < place ? whole + 1 : whole;
}

template <class Scalar, int channels>
Result<void> stream(const session::RowSource& reader, int device, const session::SampleClock& clock,
                    const RawMap& map, std::vector<LoadTrace>& traces, const Progress& progress) {
  // Stays in the processor's last cache between reading and summing, and is read long enough for
  // the wait for another plate's piece not to count.
  constexpr Eigen::Index piece_bytes = Eigen::Index{2} * 1024 * 1024;
  const Eigen::Index width = map.weights.cols();
  const Eigen::Index piece = std::max<Eigen::Index>(
      1024, piece_bytes / (width * static_cast<Eigen::Index>(sizeof(Scalar))));
  session::RawTable<Scalar> raw;
  Binner<Scalar, channels> binner(map, traces);
  const LoadTrace& trace = traces.front();  // all begin and end alike
  Eigen::Index done = 0;
  const auto all = static_cast<double>(reader.sample_count(device));
  for (const session::Run& run : clock.runs()) {
    const Eigen::Index end = run.first_row + run.rows;
    // Another part of the recording.
    if (clock.at(run, end) < trace.start || clock.at(run, run.first_row) > trace.end()) {
      done += run.rows;
      continue;
    }
    for (Eigen::Index row = run.first_row; row < end; row += piece) {
      const Eigen::Index count = std::min(piece, end - row);
      if (auto read = reader.read(device, row, count, raw); !read) return read;
      // Within a piece the clock is a line, so the bins' edges are found without asking it again.
      const double step = clock.step(run, row);
      const double first = (clock.at(run, row) - trace.start).count();
      if (!(step > 0.0))
        return fail(reader.name(),
                    fmt::format("the clock of device '{}' does not run on at {:.3f} s",
                                reader.session().devices[static_cast<std::size_t>(device)].name,
                                seconds(clock.at(run, row))),
                    "the session cannot be analysed");
      Eigen::Index i = row_from(-first / step, count);
      const double bins = std::max(0.0, first / trace_bin);
      auto bin = static_cast<Eigen::Index>(std::min(bins, static_cast<double>(trace.size())));
      for (; i < count && bin < trace.size(); ++bin) {
        const double edge = static_cast<double>(bin + 1) * trace_bin;
        const Eigen::Index until = row_from((edge - first) / step, count);
        if (until > i) binner.add(bin, raw.data() + i * width, until - i);
        i = std::max(i, until);
      }
      done += count;
      if (!goes_on(progress, static_cast<double>(done) / all)) return stopped(reader.name());
    }
  }
  binner.settle();
  return {};
}

template <class Scalar>
Result<void> stream(const session::RowSource& reader, int device, const session::SampleClock& clock,
                    const RawMap& map, std::vector<LoadTrace>& traces, const Progress& progress) {
  switch (map.weights.cols()) {  // as many as the usual plates have
    case 6:
      return stream<Scalar, 6>(reader, device, clock, map, traces, progress);
    case 8:
      return stream<Scalar, 8>(reader, device, clock, map, traces, progress);
    case 12:  // two plates of six on one device
      return stream<Scalar, 12>(reader, device, clock, map, traces, progress);
    default:
      return stream<Scalar, Eigen::Dynamic>(reader, device, clock, map, traces, progress);
  }
}

}  // namespace

Result<LoadTrace> trace_load(const session::RowSource& reader, const session::Plate& plate,
                             const session::SampleClock& clock, SessionTime start, SessionTime end,
                             const Progress& progress) {
  auto traces = trace_loads(reader, {&plate}, clock, start, end, progress);
  if (!traces) return tl::make_unexpected(traces.error());
  return std::move(traces->front());
}

Result<std::vector<LoadTrace>> trace_loads(const session::RowSource& reader,
                                           const std::vector<const session::Plate*>& plates,
                                           const session::SampleClock& clock, SessionTime start,
                                           SessionTime end, const Progress& progress) {
  const int index = plates.front()->device;
  const session::Device& device = reader.session().devices[static_cast<std::size_t>(index)];
  std::vector<session::RawForce> forces;
  for (const session::Plate* plate : plates) {
    const auto signal = session::PlateSignal::make(reader.session(), *plate);
    if (!signal) return tl::make_unexpected(signal.error());
    forces.push_back(signal->raw_force());
  }
  const RawMap map = vertical_and_forward(forces);
  LoadTrace empty;
  empty.start = start;
  const double wanted = std::ceil((end - start).count() / trace_bin) + 1.0;
  // A clock that lies must not ask for the memory of a century.
  constexpr Eigen::Index most_bins = 200LL * 60 * 60 * 48;
  if (!(wanted > 0.0 && wanted <= static_cast<double>(most_bins)))
    return fail(reader.name(), "its devices' clocks run over more than two days without a pause",
                "their times or tick rates are wrong, so it cannot be analysed");
  const auto bins = static_cast<Eigen::Index>(wanted);
  empty.vertical = Eigen::ArrayXf::Constant(bins, std::numeric_limits<float>::quiet_NaN());
  empty.forward = empty.vertical;
  std::vector<LoadTrace> traces(plates.size(), empty);
  const auto streamed = session::with_sample_type(device.sample_type, [&](auto scalar) {
    return stream<decltype(scalar)>(reader, index, clock, map, traces, progress);
  });
  if (!streamed) return tl::make_unexpected(streamed.error());
  return traces;
}

}  // namespace moundwork::foot
