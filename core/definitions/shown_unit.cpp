// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/shown_unit.h"

#include <stdexcept>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/base/units.h"

namespace moundwork::definitions {

std::string_view symbol(SpeedUnit unit) {
  switch (unit) {
    case SpeedUnit::metre_per_second:
      return "m/s";
    case SpeedUnit::kilometre_per_hour:
      return "km/h";
    case SpeedUnit::mile_per_hour:
      return "mph";
  }
  throw std::logic_error("a speed unit without symbol");
}

std::string_view symbol(ForceUnit unit) { return unit == ForceUnit::newton ? "N" : "BW"; }

std::optional<SpeedUnit> speed_unit_from(std::string_view text) {
  for (const SpeedUnit unit :
       {SpeedUnit::metre_per_second, SpeedUnit::kilometre_per_hour, SpeedUnit::mile_per_hour})
    if (symbol(unit) == text) return unit;
  return std::nullopt;
}

double factor_to(SpeedUnit unit) {
  switch (unit) {
    case SpeedUnit::metre_per_second:
      return 1.0;
    case SpeedUnit::kilometre_per_hour:
      return 1.0 / mps_per_kmh;
    case SpeedUnit::mile_per_hour:
      return 1.0 / mps_per_mph;
  }
  throw std::logic_error("a speed unit without factor");
}

double factor_to(ForceUnit unit, double mass) {
  return unit == ForceUnit::newton ? 1.0 : 1.0 / (mass * standard_gravity);
}

ShownUnit shown_unit(std::string_view key, std::string_view si_unit, const ChosenUnits& chosen,
                     double mass) {
  if (key == entry(Quantity::ball_speed).key)
    return {factor_to(chosen.speed), std::string(symbol(chosen.speed))};
  if (si_unit == "N" && mass > 0.0)
    return {factor_to(chosen.force, mass), std::string(symbol(chosen.force))};
  if (si_unit == "s") return {1e3, "ms"};
  if (si_unit == "rad") return {1.0 / radians_per_degree, "°"};
  if (si_unit == "1") return {100.0, "%"};
  if (si_unit == "m^2") return {1e4, "cm²"};
  return {1.0, std::string(si_unit)};
}

std::optional<Quantity> per_body_weight(Quantity force) {
  switch (force) {
    case Quantity::drive_peak_force:
      return Quantity::drive_peak_force_bw;
    case Quantity::braking_peak_force:
      return Quantity::braking_peak_force_bw;
    case Quantity::vertical_peak_force:
      return Quantity::vertical_peak_force_bw;
    default:
      return std::nullopt;
  }
}

std::string difference_unit(std::string_view key, std::string_view unit) {
  const auto quantity = find_quantity(key);
  if (unit != "%" || !quantity) return std::string(unit);
  switch (*quantity) {
    case Quantity::heel_toe_at_drive_peak:
    case Quantity::heel_toe_load_mean:
    case Quantity::heel_toe_drive_mean:
    case Quantity::heel_toe_travel:
      return sentence("% of the foot");
    case Quantity::stride_length_height:
      return sentence("% of body height");
    default:
      return sentence("percentage points");
  }
}

std::string shown_text(std::string_view key, std::string_view si_unit, const Measured& measured,
                       const ChosenUnits& chosen, double mass) {
  if (!measured.known()) return not_known();
  const ShownUnit shown = shown_unit(key, si_unit, chosen, mass);
  return with_unit(measured_text(shown.of(measured)), shown.unit);
}

}  // namespace moundwork::definitions
