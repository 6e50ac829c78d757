// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// The thrown ball and the sound of its catch in the model, written apart from core/ball so that
/// the one can check the other.
namespace moundwork::model {

/// Air of the day.
struct Air {
  double temperature = 20.0;       ///< degrees Celsius
  double pressure = 101325.0;      ///< Pa
  double relative_humidity = 0.5;  ///< 0 to 1
};

/// kg/m^3, by the short CIPM form of mass metrology.
[[nodiscard]] double air_density(const Air& air);

/// m/s, 331.3 sqrt(1 + t / 273.15).
[[nodiscard]] double sound_speed(const Air& air);

/// k of dv/dx = -k v, 1/m: density x Cd x area / (2 mass), for a ball of 0.145 kg and 9 1/8 in
/// round (the middle of the official rules' ranges).
[[nodiscard]] double drag_per_metre(const Air& air, double drag_coefficient);

/// Speed at release v0 (m/s) and distance x along the flight (m): v0 exp(-k x), and the time there.
[[nodiscard]] double speed_at(double v0, double k, double x);
[[nodiscard]] double time_to(double v0, double k, double x);

}  // namespace moundwork::model
