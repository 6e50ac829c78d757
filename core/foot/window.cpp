// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/window.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "core/session/plate_signal.h"

namespace moundwork::foot {
namespace {

void find_clipping(const session::RawTable<double>& raw, const session::Device& device,
                   const session::Plate& plate, const std::vector<double>& times,
                   PlateWindow& window) {
  for (const int column : plate.channels) {
    const session::Channel& channel = device.channels[static_cast<std::size_t>(column)];
    const auto values = raw.col(column).array();
    // Hardly ever, so the whole channel is asked at once before its samples one by one.
    if (!(values <= channel.lowest || values >= channel.highest).any()) continue;
    std::optional<TimeSpan> open;
    for (Eigen::Index i = 0; i <= raw.rows(); ++i) {
      const bool clips =
          i < raw.rows() && (values(i) <= channel.lowest || values(i) >= channel.highest);
      const double time = times[static_cast<std::size_t>(std::min(i, raw.rows() - 1))];
      if (clips && !open) open = TimeSpan{time, time};
      if (clips) open->end = time;
      if (!clips && open) {
        window.clipped.emplace_back(*open, channel.name);
        open.reset();
      }
    }
  }
}

void find_stuck(const session::RawTable<double>& raw, const session::Device& device,
                const session::Plate& plate, const std::vector<double>& times,
                PlateWindow& window) {
  constexpr double least = 0.25;  // s
  for (const int column : plate.channels) {
    const auto values = raw.col(column).array();
    Eigen::Index first = 0;
    for (Eigen::Index i = 1; i <= raw.rows(); ++i) {
      if (i < raw.rows() && values(i) == values(first)) continue;
      const TimeSpan still{times[static_cast<std::size_t>(first)],
                           times[static_cast<std::size_t>(i - 1)]};
      if (still.end - still.begin >= least)
        window.stuck.push_back({still, device.channels[static_cast<std::size_t>(column)].name});
      first = i;
    }
  }
}

// Straight lines over the gaps put the samples on an even grid.
plate::WrenchSeries on_even_grid(const plate::WrenchSeries& wrench,
                                 const std::vector<double>& times, double step) {
  const double start = times.front();
  const auto rows = static_cast<Eigen::Index>(std::lround((times.back() - start) / step)) + 1;
  plate::WrenchSeries even(rows, 6);
  Eigen::Index left = 0;
  for (Eigen::Index i = 0; i < rows; ++i) {
    const double time = start + static_cast<double>(i) * step;
    while (left + 2 < wrench.rows() && times[static_cast<std::size_t>(left + 1)] <= time) ++left;
    const double t0 = times[static_cast<std::size_t>(left)];
    const double t1 = times[static_cast<std::size_t>(left + 1)];
    const double share = std::clamp((time - t0) / (t1 - t0), 0.0, 1.0);
    even.row(i) = (1.0 - share) * wrench.row(left) + share * wrench.row(left + 1);
  }
  return even;
}

Result<plate::WrenchSeries> read_wrench(const session::RowSource& reader,
                                        const session::Plate& plate,
                                        const session::PlateSignal& signal, Eigen::Index first,
                                        Eigen::Index count) {
  const auto raw = reader.read_raw(plate.device, first, count);
  if (!raw) return tl::make_unexpected(raw.error());
  return signal.wrench(*raw);
}

Result<void> tare(const session::RowSource& reader, const session::Plate& plate,
                  const session::PlateSignal& signal, const session::SampleClock& clock,
                  const UnloadedStretch& zero, TimeSpan span, const definitions::Settings& settings,
                  PlateWindow& window) {
  const Eigen::Index first = clock.row_at(session_time(zero.begin));
  const Eigen::Index last = clock.row_at(session_time(zero.end));
  const auto unloaded = read_wrench(reader, plate, signal, first, last - first);
  if (!unloaded) return tl::make_unexpected(unloaded.error());
  if (unloaded->rows() < 2) return {};
  window.zero = unloaded->colwise().mean();
  // Differences of neighbours see the noise without what drifts under it.
  const Eigen::Index pairs = unloaded->rows() - 1;
  window.noise =
      ((unloaded->bottomRows(pairs) - unloaded->topRows(pairs)).square().colwise().mean() / 2.0)
          .sqrt();
  window.wrench.rowwise() -= window.zero;
  window.zero_seen = true;
  const double age = std::max({zero.begin - span.end, span.begin - zero.end, 0.0});
  const double mean_noise = window.noise(2) / std::sqrt(static_cast<double>(unloaded->rows()));
  window.zero_u =
      std::sqrt(plate.accuracy.zero_force * plate.accuracy.zero_force +
                settings.zero_walk * settings.zero_walk * age + mean_noise * mean_noise);
  return {};
}

}  // namespace

Result<PlateWindow> cut_window(const session::RowSource& reader, const session::Plate& plate,
                               const session::SampleClock& clock, TimeSpan span,
                               const std::optional<UnloadedStretch>& zero,
                               const definitions::Settings& settings) {
  const session::Device& device = reader.session().devices[static_cast<std::size_t>(plate.device)];
  const auto signal = session::PlateSignal::make(reader.session(), plate);
  if (!signal) return tl::make_unexpected(signal.error());
  PlateWindow window;
  window.frame = signal->frame();
  window.accuracy = plate.accuracy;
  // An imported recording does not tell its converters' and filters' delay: within a sample.
  window.rates = clock.shown_rates();
  window.clock_u =
      device.counts_session_time ? 1.0 / (std::sqrt(3.0) * device.sample_rate) : clock.u();
  const Eigen::Index first = clock.row_at(session_time(span.begin));
  const Eigen::Index last = clock.row_at(session_time(span.end));
  if (last - first < 3)
    return fail(reader.name(),
                fmt::format("device '{}' has no samples between {:.3f} s and {:.3f} s", device.name,
                            span.begin, span.end));
  const auto raw = reader.read_raw(plate.device, first, last - first);
  if (!raw) return tl::make_unexpected(raw.error());

  std::vector<double> times;
  times.reserve(static_cast<std::size_t>(raw->rows()));
  for (const session::Run& run : clock.runs()) {
    const Eigen::Index from = std::max(first, run.first_row);
    const Eigen::Index to = std::min(last, run.first_row + run.rows);
    if (from >= to) continue;
    const double begin = seconds(clock.at(run, from));
    const double step = clock.step(run, from);
    if (window.step == 0.0) window.step = step;
    if (!times.empty()) window.gaps.push_back({times.back(), begin});
    for (Eigen::Index row = from; row < to; ++row)
      times.push_back(begin + static_cast<double>(row - from) * step);
  }
  for (std::size_t i = 1; i < times.size(); ++i)
    if (!(times[i] > times[i - 1]))
      return fail(
          reader.name(),
          fmt::format("the clock of device '{}' runs back at {:.3f} s", device.name, times[i]),
          "the throw there cannot be analysed");
  window.start = times.front();
  find_clipping(*raw, device, plate, times, window);
  find_stuck(*raw, device, plate, times, window);
  const plate::WrenchSeries wrench = signal->wrench(*raw);
  window.wrench = window.gaps.empty() ? wrench : on_even_grid(wrench, times, window.step);
  window.zero_u = settings.zero_unseen;
  if (zero)
    if (auto tared = tare(reader, plate, *signal, clock, *zero, span, settings, window); !tared)
      return tl::make_unexpected(tared.error());
  return window;
}

}  // namespace moundwork::foot
