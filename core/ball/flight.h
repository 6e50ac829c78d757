// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/throw_fields.h"

/// Straight flight of a ball with quadratic drag, no lift or gravity; SI units.
namespace moundwork::ball {

/// Official rules: 5 to 5 1/4 oz, 9 to 9 1/4 in round; the middle of both.
inline constexpr double ball_mass = session::usual_ball_mass;
inline constexpr double ball_cross_section = 0.004274873969;  // m^2, circumference 9.125 in
/// Drag coefficient of a pitched ball: 0.3 to 0.4 (from memory), as a rectangular distribution.
inline constexpr double drag_coefficient = 0.35;
inline constexpr double drag_coefficient_u = 0.03;

/// Density of moist air, kg/m^3, from pressure (Pa), temperature (degrees Celsius) and relative
/// humidity (0 to 1), by the short form of the CIPM equation used in mass metrology.
[[nodiscard]] double air_density(double pressure, double temperature, double relative_humidity);

/// k in v(x) = v0 exp(-k x), 1/m: k = density Cd A / (2 m).
[[nodiscard]] double drag_constant(double density, double coefficient = drag_coefficient);

/// Speed after `distance` m, from the speed at release.
[[nodiscard]] double speed_after(double speed_at_release, double distance, double k);
/// The inverse: speed at release from the speed seen at `distance`.
[[nodiscard]] double speed_at_release(double speed_seen, double distance, double k);
/// Time to fly `distance` m, s: (exp(k x) - 1) / (k v0).
[[nodiscard]] double flight_time(double speed_at_release, double distance, double k);

/// Speed of sound in air, m/s, from degrees Celsius: 331.3 sqrt(1 + t / 273.15).
[[nodiscard]] double sound_speed(double temperature);

}  // namespace moundwork::ball
