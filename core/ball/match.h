// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "core/session/session.h"

namespace moundwork::ball {

/// When a throw's reading should arrive: release (or what is known of it) plus flight to the point
/// of detection plus the radar's delay.
struct ExpectedReading {
  SessionTime due{};
  double u = 0.0;  ///< standard uncertainty of `due`, s
};

struct MatchSettings {
  double least_speed = 15.0;     ///< m/s; below it a toss or a ball rolled back
  double greatest_speed = 50.0;  ///< m/s; beyond any pitch
  /// Widest distance from `due` in standard uncertainties: 1 in 16,000 for a normal one.
  double gate = 4.0;
  /// The gate is never narrower than this (s): radars answer late now and then (common practice).
  double least_gate = 0.25;
  /// Readings of one pitch printed twice agree within this, m/s: one step of a coarse display.
  double same_speed = 1.0;
  /// A radar that gives a pitch's greatest speed and then its speed at the plate gives the second
  /// within this of the first, s: the flight takes no longer.
  double to_plate = 0.6;
  /// ... and no less than this share of it: drag takes 7 to 10 % of the speed over 17 m.
  double least_at_plate = 0.88;
};

struct MatchedReading {
  std::optional<std::size_t> reading;  ///< index into the readings; none: no radar for this throw
  /// The same pitch's lower speed at the plate, which came after; not used.
  std::optional<std::size_t> at_plate;
  bool doubtful = false;  ///< two readings of different speed claimed the throw: none was taken
};

/// One reading to one throw by time and plausibility; both lists in order of time. Each reading may
/// serve only the throw it is nearest to, and a throw takes the one nearest to its due time, so a
/// lost or an extra reading never shifts its neighbours. Of a radar's two readings of one pitch,
/// its greatest speed and then its speed at the plate, the first is taken. Readings that go back,
/// are outside the speeds, or are no number are never taken. Rather none than a wrong one.
[[nodiscard]] std::vector<MatchedReading> match_readings(
    std::span<const ExpectedReading> throws, std::span<const session::RadarReading> readings,
    const MatchSettings& settings = {});

}  // namespace moundwork::ball
