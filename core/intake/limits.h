// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// What can be of a pitcher and of the air that people throw in, SI. A number outside was typed in
/// another unit or mistyped: kilograms given as pounds, metres as feet, centimetres as inches.
namespace moundwork::intake {

struct Range {
  double least, greatest;
  /// False for NaN.
  [[nodiscard]] constexpr bool holds(double value) const {
    return value >= least && value <= greatest;
  }
};

namespace limits {

inline constexpr Range mass{15.0, 250.0};         // kg, from the smallest child on
inline constexpr Range height{0.9, 2.5};          // m
inline constexpr Range foot_length{0.12, 0.4};    // m
inline constexpr Range temperature{-30.0, 50.0};  // degrees Celsius
inline constexpr Range pressure{5e4, 1.1e5};      // Pa, up to where the highest towns lie
inline constexpr Range relative_humidity{0.0, 1.0};

}  // namespace limits

}  // namespace moundwork::intake
