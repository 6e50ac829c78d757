// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/shown_unit.h"

#include "core/base/units.h"
#include "core/definitions/catalogue.h"

namespace moundwork::summary {

std::optional<SpeedUnit> speed_unit_from(std::string_view text) {
  if (text == "m/s") return SpeedUnit::metres_per_second;
  if (text == "km/h") return SpeedUnit::kilometres_per_hour;
  if (text == "mph") return SpeedUnit::miles_per_hour;
  return std::nullopt;
}

ShownUnit shown_unit(std::string_view key, std::string_view si_unit, SpeedUnit speed) {
  if (key == definitions::entry(definitions::Quantity::ball_speed).key) {
    switch (speed) {
      case SpeedUnit::metres_per_second:
        return {1.0, "m/s"};
      case SpeedUnit::kilometres_per_hour:
        return {1.0 / mps_per_kmh, "km/h"};
      case SpeedUnit::miles_per_hour:
        return {1.0 / mps_per_mph, "mph"};
    }
  }
  if (si_unit == "s") return {1e3, "ms"};
  if (si_unit == "rad") return {1.0 / radians_per_degree, "°"};
  if (si_unit == "1") return {100.0, "%"};
  return {1.0, std::string(si_unit)};
}

void show_units(relate::Pitches& pitches, SpeedUnit speed) {
  const auto convert = [](Measured& measured, double factor) {
    measured.value *= factor;
    measured.u *= factor;
  };
  const ShownUnit ball = shown_unit(pitches.ball_speed.key, pitches.ball_speed.unit, speed);
  pitches.ball_speed.unit = ball.unit;
  for (auto& row : pitches.rows) convert(row.ball_speed, ball.factor);
  for (std::size_t q = 0; q < pitches.quantities.size(); ++q) {
    auto& quantity = pitches.quantities[q];
    const ShownUnit shown = shown_unit(quantity.key, quantity.unit, speed);
    quantity.unit = shown.unit;
    for (auto& row : pitches.rows) convert(row.quantities[q], shown.factor);
  }
}

}  // namespace moundwork::summary
