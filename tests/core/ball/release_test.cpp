// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/release.h"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/ball/flight.h"
#include "core/ball/onset.h"

using namespace moundwork;

TEST_CASE("release candidates are weighed by inverse variance") {
  // Weights 1/4 and 1/16 (ms^-2): mean (4 * 100 + 1 * 105) / 5, u = 1 / sqrt(5 / 16).
  const auto release =
      ball::fuse({{0.100, 0.002, ball::Witness::trigger}, {0.105, 0.004, ball::Witness::radar}});
  CHECK(release.time.value == Approx(0.101));
  CHECK(release.time.u == Approx(0.004 / std::sqrt(5.0)));
  CHECK(release.agrees);
  CHECK(release.chi_square == Approx(std::pow(1.0 / 2.0, 2) + std::pow(4.0 / 4.0, 2)));
}

TEST_CASE("candidates that disagree are said to and widen the uncertainty") {
  const auto release = ball::fuse(
      {{0.100, 0.001, ball::Witness::trigger}, {0.110, 0.001, ball::Witness::catch_sound}});
  CHECK_FALSE(release.agrees);
  // Birge ratio: chi square 50 on one degree of freedom.
  CHECK(release.time.u == Approx(0.001 / std::sqrt(2.0) * std::sqrt(50.0)));
  CHECK_FALSE(ball::fuse({}).time.known());
}

TEST_CASE("the catch sound's sensitivities are those of the worked example") {
  // Worked example of drag flight and sound: dt/dv0 = -10.94 ms per m/s, dt/dD = 27.77 ms/m.
  ball::Air air;
  air.drag = {ball::drag_constant(1.225, .35), 0.0};
  air.sound_speed = {ball::sound_speed(20.0), 0.0};
  session::CatchMicrophone microphone;
  microphone.flight_distance = {16.6, 0.0};
  microphone.sound_distance = {18.6, 0.0};
  const auto release = ball::from_catch_sound({1.0, 0.0}, {40.0, 0.5}, microphone, air);
  CHECK(release.time == Approx(1.0 - 0.491745).margin(1e-6));
  CHECK(release.u == Approx(0.5 * 0.01094).epsilon(2e-3));
  microphone.flight_distance.u = 0.15;
  const auto other = ball::from_catch_sound({1.0, 0.0}, {40.0, 0.0}, microphone, air);
  CHECK(other.u == Approx(0.15 * 0.02777).epsilon(1e-3));
}

TEST_CASE("a release that was told is no instrument's, whatever it is called") {
  const ball::ReleaseCandidate told{1.0, 0.01, ball::Witness::told, 0.0, -1, "radar"};
  CHECK(ball::source_of(told) == "radar");
  CHECK(told.witness != ball::Witness::radar);
  CHECK(ball::source_of({1.0, 0.01, ball::Witness::catch_sound}) == "catch sound");
}

TEST_CASE("a burst is heard where it begins and a spark is not") {
  Eigen::ArrayXd sound(400);
  for (Eigen::Index i = 0; i < 400; ++i) sound(i) = ((i * 7919) % 13) - 6.0;  // quiet, never still
  sound(100) = 500.0;
  CHECK_FALSE(ball::burst_onset(sound, 16));
  for (Eigen::Index i = 250; i < 300; ++i) sound(i) = (i % 2 == 0 ? 300.0 : -300.0);
  REQUIRE(ball::burst_onset(sound, 16));
  CHECK(*ball::burst_onset(sound, 16) == Approx(249.5));
  sound(40) = NAN;
  CHECK_FALSE(ball::burst_onset(sound, 16));
}

TEST_CASE("a trigger's step is found between samples, up or down, and noise is no step") {
  Eigen::ArrayXd level = Eigen::ArrayXd::Zero(100);
  level.tail(60) = 5.0;
  CHECK(*ball::step_index(level) == Approx(39.5));
  level = 5.0 - level;
  CHECK(*ball::step_index(level) == Approx(39.5));
  for (Eigen::Index i = 0; i < 100; ++i) level(i) = static_cast<double>((i * 7919) % 13);
  CHECK_FALSE(ball::step_index(level));
  CHECK_FALSE(ball::step_index(Eigen::ArrayXd::Constant(100, 2.0)));
}

TEST_CASE("a radar beside the flight reads low and is corrected") {
  session::Radar radar;
  session::Athlete athlete;
  athlete.height = {1.85, 0.0};
  ball::Air air;
  air.drag = {1e-12, 0.0};
  // Straight behind the pitcher's hand on the line of flight there is no angle to correct.
  const Eigen::Vector3d hand = ball::usual_release_point(athlete);
  const Eigen::Vector3d plate(18.4404, 0.0, 0.6);
  radar.position = hand - (plate - hand).normalized() * 5.0;
  CHECK(ball::speed_from_reading(40.0, radar, athlete, air).speed.value ==
        Approx(40.0).epsilon(1e-6));
  // At the side by 10 degrees, 90 reads 88.633 (cosine table).
  radar.position = hand - (plate - hand).normalized() * 5.0 * std::cos(10 * M_PI / 180) +
                   Eigen::Vector3d::UnitZ().cross((plate - hand).normalized()).normalized() * 5.0 *
                       std::sin(10 * M_PI / 180);
  CHECK(ball::speed_from_reading(88.633, radar, athlete, air).speed.value ==
        Approx(90.0).epsilon(1e-5));
}
