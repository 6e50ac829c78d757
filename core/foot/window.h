// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/zero.h"
#include "core/plate/wrench.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"

namespace moundwork::foot {

/// A time span on the session clock, s.
struct TimeSpan {
  double begin = 0.0;
  double end = 0.0;
};

/// A channel that gave one and the same reading for long.
struct StuckChannel {
  TimeSpan span;
  std::string channel;  ///< its name
};

/// One plate around one throw, at full rate on an even grid: lab wrench, tared, not filtered.
struct PlateWindow {
  double start = 0.0;  ///< session time of the first sample, s
  double step = 0.0;   ///< s
  /// Of the slowest of the plates that it is the sum of, s; 0 of a single plate.
  double slowest_step = 0.0;
  plate::WrenchSeries wrench;
  plate::PlateFrame frame;
  session::PlateAccuracy accuracy;
  /// Lost samples, each bridged by a straight line on the grid.
  std::vector<TimeSpan> gaps;
  /// Where a channel stood at its converter's end, with the channel's name.
  std::vector<std::pair<TimeSpan, std::string>> clipped;
  /// A quarter of a second or more without any change: nothing that works is so still.
  std::vector<StuckChannel> stuck;
  /// White noise of one sample of each wrench component, N and N m, from the unloaded plate.
  Eigen::Array<double, 1, 6> noise = Eigen::Array<double, 1, 6>::Zero();
  Eigen::Array<double, 1, 6> zero = Eigen::Array<double, 1, 6>::Zero();  ///< subtracted, N, N m
  /// Standard uncertainty left in a force's zero, N; grows with the time since it was seen.
  double zero_u = 0.0;
  bool zero_seen = false;
  session::ShownRates rates;  ///< of the plate's device
  double clock_u = 0.0;       ///< s, of this plate's times on the session clock

  [[nodiscard]] Eigen::Index size() const { return wrench.rows(); }
  [[nodiscard]] double time(double index) const { return start + index * step; }
  [[nodiscard]] double index(double time) const { return (time - start) / step; }
  [[nodiscard]] double end() const { return time(static_cast<double>(size() - 1)); }
};

/// Cuts [span.begin, span.end] out of a plate's samples. `zero` is the unloaded stretch to tare on,
/// none where the plate was never seen unloaded.
[[nodiscard]] Result<PlateWindow> cut_window(const session::RowSource& reader,
                                             const session::Plate& plate,
                                             const session::SampleClock& clock, TimeSpan span,
                                             const std::optional<UnloadedStretch>& zero,
                                             const definitions::Settings& settings);

}  // namespace moundwork::foot
