// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

#include "core/base/result.h"

namespace moundwork {

/// Conventional value of gravity, m/s^2 (3rd CGPM, 1901).
inline constexpr double standard_gravity = 9.80665;
// Exact by the international yard and pound agreement of 1959.
inline constexpr double metres_per_inch = 0.0254;
inline constexpr double metres_per_foot = 0.3048;
inline constexpr double kilograms_per_pound = 0.45359237;
inline constexpr double mps_per_mph = 0.44704;
inline constexpr double mps_per_kmh = 1.0 / 3.6;
inline constexpr double radians_per_degree = 3.14159265358979323846 / 180.0;

enum class Dimension { mass, length, speed, time, angle, force, frequency, temperature, pressure };

/// Reads a number with its unit, as people type it ("95.7kg", "91.8 mph", "6ft1in"), into SI
/// (temperature into degrees Celsius, angle into radians).
/// A bare number is refused: the unit is the commonest thing to get wrong.
/// `where` names the option or cell for the error sentence.
[[nodiscard]] Result<double> parse_quantity(std::string_view text, Dimension dimension,
                                            std::string_view where);

/// Factor from the unit's symbol to SI, e.g. "mm" with Dimension::length gives 0.001.
[[nodiscard]] Result<double> unit_factor(std::string_view symbol, Dimension dimension,
                                         std::string_view where);

}  // namespace moundwork
