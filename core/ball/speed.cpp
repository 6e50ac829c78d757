// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/speed.h"

#include <algorithm>
#include <cmath>

#include "core/ball/flight.h"
#include "core/base/units.h"

namespace moundwork::ball {

Air air_of(const session::Conditions& conditions) {
  // Where nothing was noted: 20 +- 10 degrees, 1013 +- 40 hPa, 50 +- 25 %.
  const Measured t = conditions.temperature.known() ? conditions.temperature : Measured{20.0, 10.0};
  const Measured p = conditions.pressure.known() ? conditions.pressure : Measured{101325.0, 4000.0};
  const Measured h =
      conditions.relative_humidity.known() ? conditions.relative_humidity : Measured{0.5, 0.25};
  const double density = air_density(p.value, t.value, h.value);
  const double density_u =
      std::hypot(air_density(p.value + p.u, t.value, h.value) - density,
                 air_density(p.value, t.value + t.u, h.value) - density,
                 air_density(p.value, t.value, std::min(1.0, h.value + h.u)) - density);
  Air air;
  air.drag.value = drag_constant(density);
  air.drag.u =
      air.drag.value * std::hypot(drag_coefficient_u / drag_coefficient, density_u / density);
  air.sound_speed.value = sound_speed(t.value);
  air.sound_speed.u = std::abs(sound_speed(t.value + t.u) - air.sound_speed.value);
  air.assumed = !conditions.temperature.known() || !conditions.pressure.known();
  return air;
}

Air for_ball(Air air, double mass) {
  air.drag.value *= ball_mass / mass;
  air.drag.u *= ball_mass / mass;
  return air;
}

Eigen::Vector3d usual_release_point(const session::Athlete& athlete) {
  // Stride of 80 to 90 % of height (several papers, from memory) and a hand that leaves the ball a
  // little ahead of the lead foot.
  const double height = athlete.height.known() ? athlete.height.value : 1.75;
  const double side = athlete.throws == session::Hand::right ? -1.0 : 1.0;
  return {0.85 * height + 0.2, 0.4 * side, 0.9 * height - 0.1};
}

BallSpeed speed_from_reading(double reading, const session::Radar& radar,
                             const session::Athlete& athlete, const Air& air) {
  // Middle of the strike zone over the plate, or what is left of the way to a nearer radar.
  constexpr double rubber_to_plate = 60.5 * metres_per_foot;
  const Eigen::Vector3d release = usual_release_point(athlete);
  const Eigen::Vector3d target{
      radar.position.x() > 5.0 ? std::min(rubber_to_plate, radar.position.x()) : rubber_to_plate,
      0.0, 0.6};
  const Eigen::Vector3d flight = (target - release).normalized();
  const Eigen::Vector3d seen = release + flight * radar.detection_distance.value;
  const Eigen::Vector3d sight = (radar.position - seen).normalized();
  // A radar behind the pitcher sees the ball leave, one behind the plate sees it come.
  const double cosine = std::max(0.1, std::abs(flight.dot(sight)));
  // Where the ball really flew is known to about two degrees.
  constexpr double angle_u = 2.0 * radians_per_degree;
  const double tangent = std::sqrt(1.0 - std::min(1.0, cosine * cosine)) / cosine;

  const double distance = radar.detection_distance.value;
  BallSpeed result;
  Measured& speed = result.speed;
  speed.value = speed_at_release(reading / cosine, distance, air.drag.value);
  const double bias = radar.speed_bias.u / reading;
  const double step = radar.resolution / std::sqrt(12.0) / reading;
  const double angle = std::hypot(tangent * angle_u, 0.5 * angle_u * angle_u);
  const double drag =
      std::hypot(distance * air.drag.u, air.drag.value * radar.detection_distance.u);
  speed.u = speed.value * std::hypot(std::hypot(bias, step), angle, drag);
  // How much of the flight's direction changes from pitch to pitch is not known: half of it.
  result.shared_u = speed.value * std::hypot(bias, angle / std::sqrt(2.0));
  result.by_drag = speed.value * distance;
  return result;
}

}  // namespace moundwork::ball
