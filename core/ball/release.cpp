// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/release.h"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>

#include "core/ball/flight.h"

namespace moundwork::ball {
namespace {

// Uncertainty of the flight time over a distance, from its three inputs.
double flight_u(Measured speed, Measured distance, Measured drag) {
  const double t = flight_time(speed.value, distance.value, drag.value);
  const double by_speed = t * speed.u / speed.value;
  const double by_distance = distance.u / speed_after(speed.value, distance.value, drag.value);
  const double by_drag = flight_time(speed.value, distance.value, drag.value + drag.u) - t;
  return std::hypot(by_speed, by_distance, by_drag);
}

}  // namespace

Release fuse(std::vector<ReleaseCandidate> candidates) {
  Release release;
  release.candidates = std::move(candidates);
  if (release.candidates.empty()) return release;
  double weights = 0.0;
  double sum = 0.0;
  for (const ReleaseCandidate& candidate : release.candidates) {
    const double weight = 1.0 / (candidate.u * candidate.u);
    weights += weight;
    sum += weight * candidate.time;
  }
  release.time = {sum / weights, 1.0 / std::sqrt(weights)};
  const double degrees = static_cast<double>(release.candidates.size()) - 1.0;
  if (degrees < 1.0) return release;
  for (const ReleaseCandidate& candidate : release.candidates)
    release.chi_square += std::pow((candidate.time - release.time.value) / candidate.u, 2);
  release.p = boost::math::cdf(
      boost::math::complement(boost::math::chi_squared(degrees), release.chi_square));
  constexpr double least_p = 0.01;
  release.agrees = release.p >= least_p;
  if (!release.agrees) release.time.u *= std::sqrt(release.chi_square / degrees);
  return release;
}

ReleaseCandidate from_catch_sound(Measured onset, Measured ball_speed,
                                  const session::CatchMicrophone& microphone, const Air& air) {
  const double flight =
      flight_time(ball_speed.value, microphone.flight_distance.value, air.drag.value);
  const double travel = microphone.sound_distance.value / air.sound_speed.value;
  const double travel_u = std::hypot(microphone.sound_distance.u / air.sound_speed.value,
                                     travel * air.sound_speed.u / air.sound_speed.value);
  return {onset.value - travel - flight,
          std::hypot(onset.u, travel_u, flight_u(ball_speed, microphone.flight_distance, air.drag)),
          "catch sound"};
}

ReleaseCandidate from_radar(SessionTime arrival, Measured ball_speed, const session::Radar& radar,
                            const Air& air) {
  const double flight =
      flight_time(ball_speed.value, radar.detection_distance.value, air.drag.value);
  return {seconds(arrival) - radar.delay.value - flight,
          std::hypot(radar.delay.u, flight_u(ball_speed, radar.detection_distance, air.drag)),
          "radar"};
}

}  // namespace moundwork::ball
