// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/release.h"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>

#include "core/ball/flight.h"

namespace moundwork::ball {
namespace {

/// How the flight time over a distance moves with what it is computed from.
struct FlightTime {
  double value = 0.0;        // s
  double by_speed = 0.0;     // s per m/s
  double by_distance = 0.0;  // s per m
  double by_drag = 0.0;      // s per 1/m, the speed moving along
};

FlightTime flight(const BallSpeed& ball, double distance, double drag) {
  const double speed = ball.speed.value;
  FlightTime time;
  time.value = flight_time(speed, distance, drag);
  time.by_speed = -time.value / speed;
  time.by_distance = 1.0 / speed_after(speed, distance, drag);
  // d/dk of (exp(k x) - 1) / (k v)
  const double alone = (distance * std::exp(drag * distance) / speed - time.value) / drag;
  time.by_drag = alone + time.by_speed * ball.by_drag;
  return time;
}

/// m of the way to the net or glove that change from pitch to pitch: a pitcher's point of release
/// keeps some 5 cm (common practice), and a station that knows the distance no better than 10 cm
/// has a glove that moves, not a net.
double own_distance_u(double u) {
  constexpr double release_point = 0.05;
  constexpr double tape = 0.10;
  return std::max(std::min(u, release_point), std::sqrt(std::max(0.0, u * u - tape * tape)));
}

}  // namespace

std::string source_of(const ReleaseCandidate& candidate) {
  switch (candidate.witness) {
    case Witness::told:
      return candidate.told_by;
    case Witness::video_mark:
      return "video mark";
    case Witness::trigger:
      return "trigger";
    case Witness::catch_sound:
      return "catch sound";
    case Witness::radar:
      break;
  }
  return "radar";
}

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

ReleaseCandidate from_catch_sound(Measured onset, const BallSpeed& ball_speed,
                                  const session::CatchMicrophone& microphone, const Air& air) {
  const Measured& distance = microphone.flight_distance;
  const FlightTime time = flight(ball_speed, distance.value, air.drag.value);
  const double travel = microphone.sound_distance.value / air.sound_speed.value;
  const double travel_u = std::hypot(microphone.sound_distance.u / air.sound_speed.value,
                                     travel * air.sound_speed.u / air.sound_speed.value);
  // The drag's part in the speed is taken with the flight's.
  const double drag_in_speed = ball_speed.by_drag * air.drag.u;
  const double speed_u = std::sqrt(
      std::max(0.0, ball_speed.speed.u * ball_speed.speed.u - drag_in_speed * drag_in_speed));
  const double by_drag = time.by_drag * air.drag.u;
  const double own_distance = own_distance_u(distance.u);
  const double shared_distance =
      std::sqrt(std::max(0.0, distance.u * distance.u - own_distance * own_distance));
  ReleaseCandidate candidate;
  candidate.time = onset.value - travel - time.value;
  candidate.u =
      std::hypot(std::hypot(onset.u, travel_u), std::hypot(time.by_speed * speed_u, by_drag),
                 time.by_distance * distance.u);
  candidate.witness = Witness::catch_sound;
  // The onset's uncertainty is its device's clock, which is off by the same all session.
  candidate.shared_u =
      std::hypot(std::hypot(onset.u, travel_u),
                 std::hypot(time.by_speed * std::min(speed_u, ball_speed.shared_u), by_drag),
                 time.by_distance * shared_distance);
  return candidate;
}

ReleaseCandidate from_radar(SessionTime arrival, const BallSpeed& ball_speed,
                            const session::Radar& radar, const Air& air) {
  const FlightTime time = flight(ball_speed, radar.detection_distance.value, air.drag.value);
  return {seconds(arrival) - radar.delay.value - time.value,
          std::hypot(radar.delay.u, time.by_speed * ball_speed.speed.u,
                     time.by_distance * radar.detection_distance.u),
          Witness::radar};
}

double sound_radar_covariance(const BallSpeed& ball_speed,
                              const session::CatchMicrophone& microphone,
                              const session::Radar& radar, const Air& air) {
  const double speed = ball_speed.speed.value;
  const Measured& seen_at = radar.detection_distance;
  const double way = flight_time(speed, microphone.flight_distance.value, air.drag.value);
  // Per m farther on: speed at release is taken too low by k v, the flight too long by T k.
  const double sound = -way * air.drag.value;
  const double late = 1.0 / speed_after(speed, seen_at.value, air.drag.value);
  return sound * late * seen_at.u * seen_at.u;
}

}  // namespace moundwork::ball
