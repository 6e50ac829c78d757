// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/flight.h"

#include <cmath>

namespace moundwork::ball {

double air_density(double pressure, double temperature, double relative_humidity) {
  const double hectopascal = pressure / 100.0;
  const double percent = relative_humidity * 100.0;
  return (0.34848 * hectopascal - 0.009 * percent * std::exp(0.061 * temperature)) /
         (273.15 + temperature);
}

double drag_constant(double density, double coefficient) {
  return density * coefficient * ball_cross_section / (2.0 * ball_mass);
}

double speed_after(double speed_at_release, double distance, double k) {
  return speed_at_release * std::exp(-k * distance);
}

double speed_at_release(double speed_seen, double distance, double k) {
  return speed_seen * std::exp(k * distance);
}

double flight_time(double speed_at_release, double distance, double k) {
  return std::expm1(k * distance) / (k * speed_at_release);
}

double sound_speed(double temperature) { return 331.3 * std::sqrt(1.0 + temperature / 273.15); }

}  // namespace moundwork::ball
