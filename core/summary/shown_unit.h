// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/relate/pitches.h"

namespace moundwork::summary {

enum class SpeedUnit { metres_per_second, kilometres_per_hour, miles_per_hour };
/// "m/s", "km/h" or "mph".
[[nodiscard]] std::optional<SpeedUnit> speed_unit_from(std::string_view text);

/// The unit that people read a quantity in, and what an SI value is multiplied by.
struct ShownUnit {
  double factor = 1.0;
  std::string unit;
};
/// Ball speed in the unit asked for, times in ms, angles in degrees, shares in percent; the rest as
/// the catalogue has it.
[[nodiscard]] ShownUnit shown_unit(std::string_view key, std::string_view si_unit, SpeedUnit speed);

/// The same for every value of a list of pitches.
void show_units(relate::Pitches& pitches, SpeedUnit speed);

}  // namespace moundwork::summary
