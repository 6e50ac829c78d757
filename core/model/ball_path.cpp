// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/ball_path.h"

#include <cmath>

namespace moundwork::model {

double air_density(const Air& air) {
  const double t = air.temperature;
  const double percent = 100.0 * air.relative_humidity;
  return (0.34848 * air.pressure / 100.0 - 0.009 * percent * std::exp(0.061 * t)) / (273.15 + t);
}

double sound_speed(const Air& air) { return 331.3 * std::sqrt(1.0 + air.temperature / 273.15); }

double drag_per_metre(const Air& air, double drag_coefficient) {
  constexpr double mass = 0.145;                    // kg
  constexpr double circumference = 9.125 * 0.0254;  // m
  constexpr double area = circumference * circumference / (4.0 * 3.14159265358979323846);
  return air_density(air) * drag_coefficient * area / (2.0 * mass);
}

double speed_at(double v0, double k, double x) { return v0 * std::exp(-k * x); }

double time_to(double v0, double k, double x) {
  return k == 0.0 ? x / v0 : std::expm1(k * x) / (k * v0);
}

}  // namespace moundwork::model
