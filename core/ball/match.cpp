// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/match.h"

#include <algorithm>
#include <cmath>

namespace moundwork::ball {
namespace {

double distance(const ExpectedReading& expected, const session::RadarReading& reading) {
  return std::abs((reading.arrival - expected.due).count());
}

/// The throw nearest in time; throws are not empty and in order.
std::size_t nearest_throw(std::span<const ExpectedReading> throws,
                          const session::RadarReading& reading) {
  const auto after = std::lower_bound(
      throws.begin(), throws.end(), reading.arrival,
      [](const ExpectedReading& expected, SessionTime time) { return expected.due < time; });
  if (after == throws.begin()) return 0;
  if (after == throws.end()) return throws.size() - 1;
  const auto before = after - 1;
  const auto best = distance(*before, reading) <= distance(*after, reading) ? before : after;
  return static_cast<std::size_t>(best - throws.begin());
}

/// Whether a reading is a pitch's speed at the plate after its greatest one.
bool is_at_plate(const session::RadarReading& greatest, const session::RadarReading& later,
                 const MatchSettings& settings) {
  const double after = (later.arrival - greatest.arrival).count();
  return after > 0.0 && after <= settings.to_plate &&
         greatest.speed - later.speed > settings.same_speed &&
         later.speed >= settings.least_at_plate * greatest.speed;
}

}  // namespace

std::vector<MatchedReading> match_readings(std::span<const ExpectedReading> throws,
                                           std::span<const session::RadarReading> readings,
                                           const MatchSettings& settings) {
  std::vector<MatchedReading> matched(throws.size());
  if (throws.empty()) return matched;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const session::RadarReading& reading = readings[i];
    const bool plausible = reading.direction >= 0 && reading.speed >= settings.least_speed &&
                           reading.speed <= settings.greatest_speed &&
                           std::isfinite(reading.arrival.time_since_epoch().count());
    if (!plausible) continue;
    const std::size_t t = nearest_throw(throws, reading);
    const double gate = std::max(settings.least_gate, settings.gate * throws[t].u);
    if (distance(throws[t], reading) > gate) continue;
    MatchedReading& match = matched[t];
    if (!match.reading) {
      match.reading = i;
      continue;
    }
    const session::RadarReading& kept = readings[*match.reading];
    if (is_at_plate(kept, reading, settings)) {
      match.at_plate = i;
      continue;
    }
    if (std::abs(kept.speed - reading.speed) > settings.same_speed) match.doubtful = true;
    if (distance(throws[t], reading) < distance(throws[t], kept)) match.reading = i;
  }
  for (MatchedReading& match : matched)
    if (match.doubtful) match.reading.reset();
  return matched;
}

}  // namespace moundwork::ball
