// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/measured.h"
#include "core/definitions/catalogue.h"

namespace moundwork::definitions {

enum class SpeedUnit { metre_per_second, kilometre_per_hour, mile_per_hour };
enum class ForceUnit { newton, body_weight };
[[nodiscard]] std::string_view symbol(SpeedUnit unit);  ///< "m/s", "km/h" or "mph"
[[nodiscard]] std::string_view symbol(ForceUnit unit);  ///< "N" or "BW"
[[nodiscard]] std::optional<SpeedUnit> speed_unit_from(std::string_view symbol);
/// What a value in m/s, or in N of an athlete of `mass` kg, is multiplied by. NaN for body weights
/// without a mass.
[[nodiscard]] double factor_to(SpeedUnit unit);
[[nodiscard]] double factor_to(ForceUnit unit, double mass);

/// What the reader chose.
struct ChosenUnits {
  SpeedUnit speed = SpeedUnit::metre_per_second;
  ForceUnit force = ForceUnit::newton;
};

/// The unit that people read a quantity in, and what an SI value is multiplied by.
struct ShownUnit {
  double factor = 1.0;
  std::string unit;

  [[nodiscard]] Measured of(const Measured& measured) const {
    return {factor * measured.value, factor * measured.u};
  }
};
/// Of the catalogue's quantity `key`, whose SI unit is `si_unit`: ball speed in the unit chosen,
/// forces too where the athlete's mass (kg) is known, times in ms, angles in degrees, shares in
/// percent, areas in cm²; the rest as the catalogue has it. Other keys go by their unit alone.
[[nodiscard]] ShownUnit shown_unit(std::string_view key, std::string_view si_unit,
                                   const ChosenUnits& chosen,
                                   double mass = std::numeric_limits<double>::quiet_NaN());

/// The quantity that a force's value in body weights is: the force itself times a factor would lack
/// the mass's part of the uncertainty. None for what is no force.
[[nodiscard]] std::optional<Quantity> per_body_weight(Quantity force);

/// The unit of a difference between two values shown in `unit`: percent of what, so that 13 % of
/// the foot is not taken for a change by 13 %.
[[nodiscard]] std::string difference_unit(std::string_view key, std::string_view unit);

/// "0.464 ± 0.004 BW": value, standard uncertainty and unit as shown; "not known" without a value.
[[nodiscard]] std::string shown_text(std::string_view key, std::string_view si_unit,
                                     const Measured& measured, const ChosenUnits& chosen,
                                     double mass = std::numeric_limits<double>::quiet_NaN());

}  // namespace moundwork::definitions
