// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// Standard uncertainties of what people read off scales, tapes and weather stations and type in
/// without one (common practice). SI.
namespace moundwork::intake::usual_u {

inline constexpr double mass = 0.2;         // kg, dressed as on the plates, the same day
inline constexpr double mass_of_old = 1.0;  // kg: another day, other clothes, other scales
inline constexpr double height = 0.01;      // m
inline constexpr double temperature = 1.0;  // degrees Celsius
inline constexpr double pressure = 300.0;   // Pa
inline constexpr double relative_humidity = 0.05;

}  // namespace moundwork::intake::usual_u
