// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/weigh_in/weigh_in.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <limits>
#include <random>

#include "core/base/units.h"
#include "core/session/reader.h"
#include "core/session/writer.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::weigh_in;

namespace {

constexpr double pi = 3.14159265358979323846;

/// Somebody on a plate for `length` s at 1 kHz; a plate of exact calibration unless told.
Stand stand(double length, const std::function<double(double)>& force,
            const Eigen::Vector2d& place = {0.2, 0.0}) {
  Stand made;
  made.plate = session::PlateRole::back;
  made.start = 10.0;
  made.rate = 1000.0;
  const auto count = static_cast<Eigen::Index>(length * made.rate);
  made.vertical.resize(count);
  made.cop.resize(count, 3);
  for (Eigen::Index i = 0; i < count; ++i) {
    made.vertical(i) = force(static_cast<double>(i) / made.rate);
    made.cop.row(i) << place.x(), place.y(), 0.01;
  }
  return made;
}

std::string refusal(const Result<Measured>& result) {
  REQUIRE_FALSE(result);
  return result.error().sentence();
}

}  // namespace

TEST_CASE("body mass is weight over standard gravity, with u from gain, zero and gravity",
          "[weigh_in]") {
  Stand one = stand(3.0, [](double) { return 800.0; });
  one.gain_u = 0.002;
  one.zero_u = 0.5;
  const auto mass = body_mass({&one, 1});
  REQUIRE(mass);
  CHECK(mass->value == Approx(800.0 / 9.80665).margin(1e-9));
  // JCGM 100, 5.1.2: independent inputs add as squares.
  const double expected = std::sqrt(1.6 * 1.6 + 0.5 * 0.5 + 1.2 * 1.2) / 9.80665;
  CHECK(mass->u == Approx(expected).margin(1e-9));
}

TEST_CASE("a person with a foot on each plate weighs what both carry", "[weigh_in]") {
  Stand back = stand(4.0, [](double t) { return 300.0 + 40.0 * std::sin(pi * t); });
  // The lead plate's device began half a second later and samples twice as fast.
  Stand lead = back;
  lead.start = 10.5;
  lead.rate = 2000.0;
  lead.vertical.resize(6000);
  lead.cop.resize(6000, 3);
  for (Eigen::Index i = 0; i < 6000; ++i) {
    lead.vertical(i) = 500.0 - 40.0 * std::sin(pi * (static_cast<double>(i) / 2000.0 + 0.5));
    lead.cop.row(i) << 1.6, 0.1, -0.1;
  }
  back.gain_u = lead.gain_u = 0.01;
  const Stand both[] = {back, lead};
  WeighInSettings settings;
  settings.gravity_u = 0.0;
  const auto mass = body_mass(both, settings);
  REQUIRE(mass);
  // Weight shifted between the feet is still the same person.
  CHECK(mass->value == Approx(800.0 / 9.80665).margin(0.01));
  // The gains of two plates are independent: less than the 0.01 x 800 N of a single plate.
  CHECK(mass->u < 0.009 * 800.0 / 9.80665);
  CHECK(mass->u > 0.005 * 800.0 / 9.80665);
}

TEST_CASE("the quiet part of a weighing is found", "[weigh_in]") {
  const Stand one = stand(8.0, [](double t) {
    if (t < 2.0) return 0.0;                                          // not on it yet
    if (t < 4.0) return 700.0 + 80.0 * std::sin(2.0 * pi * 1.5 * t);  // stepping on
    if (t < 6.5) return 690.0 + 1.5 * std::sin(2.0 * pi * 1.1 * t);   // heartbeat
    return 690.0 + 200.0 * std::sin(2.0 * pi * (t - 6.5));            // stepping off
  });
  const auto mass = body_mass({&one, 1});
  REQUIRE(mass);
  CHECK(mass->value == Approx(690.0 / 9.80665).margin(0.05));
}

TEST_CASE("a stand that gives no weight is refused in words", "[weigh_in]") {
  CHECK(refusal(body_mass({})).find("no plate") != std::string::npos);
  const Stand brief = stand(1.5, [](double) { return 800.0; });
  CHECK(refusal(body_mass({&brief, 1})).find("stand longer") != std::string::npos);
  const Stand empty = stand(5.0, [](double t) { return 3.0 * std::sin(t); });
  CHECK(refusal(body_mass({&empty, 1})).find("nobody stood") != std::string::npos);
  const Stand unquiet =
      stand(5.0, [](double t) { return 800.0 + 20.0 * std::sin(2.0 * pi * 1.5 * t); });
  CHECK(refusal(body_mass({&unquiet, 1})).find("was not quiet") != std::string::npos);
  Stand broken = stand(5.0, [](double) { return 800.0; });
  for (Eigen::Index i = 0; i < 5000; i += 500) broken.vertical(i) = NAN;  // a gap every half second
  CHECK_FALSE(body_mass({&broken, 1}));
}

TEST_CASE("a weight's interval holds the true mass as often as it says", "[weigh_in]") {
  std::mt19937_64 random(11);
  std::normal_distribution<double> normal;
  int covered = 0;
  constexpr int trials = 400;
  for (int trial = 0; trial < trials; ++trial) {
    const double mass = 60.0 + 0.1 * trial;
    // Gravity of the place, gain and zero are off once a trial; sway comes and goes in 0.3 s.
    const double gravity =
        9.80665 + 0.026 * std::uniform_real_distribution<double>(-1.0, 1.0)(random);
    const double gain = 1.0 + 0.002 * normal(random);
    const double zero = 0.5 * normal(random);
    double sway = 0.0;
    Stand one = stand(4.0, [&](double) {
      sway = sway * (1.0 - 0.001 / 0.3) + 2.0 * std::sqrt(2.0 * 0.001 / 0.3) * normal(random);
      return gain * (mass * gravity + sway) + zero + normal(random);
    });
    one.gain_u = 0.002;
    one.zero_u = 0.5;
    const auto found = body_mass({&one, 1});
    REQUIRE(found);
    covered += std::abs(found->value - mass) < 1.96 * found->u;
  }
  // 95 % of 400 is 380, give or take three binomial deviations of 4.4.
  CHECK(covered >= 366);
  CHECK(covered <= 394);
}

TEST_CASE("heel and toe stances give the foot's line", "[weigh_in]") {
  const auto on = [](double x, double y, double force) {
    Stand one = stand(4.0, [=](double) { return force; }, {x, y});
    one.cop_u = 0.0015;
    return one;
  };
  const auto heel = stance_point(std::vector{on(0.08, 0.10, 700.0)}, 80.0, "heel");
  const auto toe = stance_point(std::vector{on(0.09, -0.16, 650.0)}, 80.0, "toe");
  REQUIRE(heel);
  REQUIRE(toe);
  CHECK(heel->point.isApprox(Eigen::Vector3d(0.08, 0.10, 0.01), 1e-12));
  CHECK(heel->u == Approx(std::hypot(0.0015, 0.005)).margin(1e-12));
  const auto line = foot_line(*heel, *toe, session::Hand::right);
  REQUIRE(line);
  CHECK(line->source == session::FootLineSource::stances);
  CHECK(line->toe.y() == Approx(-0.16).margin(1e-12));
  CHECK(line->u == heel->u);

  const auto mirrored = foot_line(*heel, *toe, session::Hand::left);
  REQUIRE_FALSE(mirrored);
  CHECK(mirrored.error().sentence().find("other way round") != std::string::npos);
  CHECK(foot_line(*toe, *heel, session::Hand::left));
  const auto same = foot_line(*heel, *heel, session::Hand::right);
  REQUIRE_FALSE(same);
  CHECK(same.error().sentence().find("0 mm apart") != std::string::npos);
  StancePoint far = *toe;
  far.point.y() = -0.5;
  CHECK_FALSE(foot_line(*heel, far, session::Hand::right));
}

TEST_CASE("a stance that sways or stands on the other foot is refused in words", "[weigh_in]") {
  Stand sways = stand(4.0, [](double) { return 700.0; });
  for (Eigen::Index i = 0; i < sways.cop.rows(); ++i)
    sways.cop(i, 1) += 0.03 * std::sin(2.0 * pi * static_cast<double>(i) / 1000.0);
  const auto unquiet = stance_point(std::vector{sways}, 80.0, "heel");
  REQUIRE_FALSE(unquiet);
  CHECK(unquiet.error().sentence().find("heel stance") != std::string::npos);
  CHECK(unquiet.error().sentence().find("21 mm") != std::string::npos);  // 30 mm / sqrt 2
  const Stand light = stand(4.0, [](double) { return 150.0; });
  const auto refused = stance_point(std::vector{light}, 80.0, "toe");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("did not carry 30 %") != std::string::npos);
}

TEST_CASE("a recording of empty plate and stances gives mass and line in the lab", "[weigh_in]") {
  const support::Folder folder;
  session::Session session;
  session.id = "weigh-in";
  session.athlete.id = "w01";
  session.athlete.mass = {1.0, 0.0};
  session::Device device;
  device.name = "back";
  device.sample_type = session::SampleType::float64;
  device.sample_rate = device.tick_rate = 500.0;
  device.counts_session_time = true;
  for (const char* name : {"Fx", "Fy", "Fz"}) device.channels.push_back({name, "N"});
  for (const char* name : {"Mx", "My", "Mz"}) device.channels.push_back({name, "N m"});
  session.devices = {device};
  session::Plate plate;
  plate.role = session::PlateRole::back;
  plate.channels = {0, 1, 2, 3, 4, 5};
  plate.description.reaction_sign = 1.0;  // channels are lab axes: corners x, y, z up
  plate.description.corners = {Eigen::Vector3d(0.5, 0.3, 0.0), Eigen::Vector3d(-0.1, 0.3, 0.0),
                               Eigen::Vector3d(-0.1, -0.3, 0.0), Eigen::Vector3d(0.5, -0.3, 0.0)};
  plate.accuracy = {0.002, 0.003, 0.5, 0.0015};
  session.plates = {plate};
  {
    auto writer = session::Writer::create(folder / "w.h5", session);
    REQUIRE(writer);
    std::vector<double> cells;
    for (int i = 0; i < 500 * 16; ++i) {
      const double t = i / 500.0;
      // Empty, then the quiet stand, the heel, the toes; the plate's centre is (0.2, 0).
      const double force = t < 3.0 ? 0.0 : 785.0;
      const Eigen::Vector2d place = t < 8.0    ? Eigen::Vector2d(0.10, 0.0)
                                    : t < 12.0 ? Eigen::Vector2d(0.08, 0.10)
                                               : Eigen::Vector2d(0.08, -0.16);
      const double zero = 7.0;  // N on Fz, what taring must take away
      for (const double cell :
           {0.0, 0.0, force + zero, place.y() * force, -(place.x() - 0.2) * force, 0.0})
        cells.push_back(cell);
    }
    REQUIRE(writer->append(0, {0, DeviceTicks{0}, session_time(0.0), 0},
                           std::span<const double>(cells)));
    REQUIRE(writer->close());
  }
  const auto reader = session::Reader::open(folder / "w.h5");
  REQUIRE(reader);
  const auto standing = stands_of(*reader, {4.0, 8.0});
  if (!standing) FAIL(standing.error().sentence());
  const auto mass = body_mass(*standing);
  if (!mass) FAIL(mass.error().sentence());
  CHECK(mass->value == Approx(785.0 / 9.80665).margin(1e-6));
  const auto on_heel = stands_of(*reader, {8.5, 12.0});
  const auto on_toes = stands_of(*reader, {12.5, 16.0});
  REQUIRE(on_heel);
  REQUIRE(on_toes);
  const auto heel = stance_point(std::vector{on_heel->front()}, mass->value, "heel");
  const auto toe = stance_point(std::vector{on_toes->front()}, mass->value, "toe");
  REQUIRE(heel);
  REQUIRE(toe);
  const auto line = foot_line(*heel, *toe, session::Hand::right);
  REQUIRE(line);
  CHECK((line->heel - Eigen::Vector3d(0.08, 0.10, 0.0)).norm() < 1e-6);
  CHECK((line->toe - Eigen::Vector3d(0.08, -0.16, 0.0)).norm() < 1e-6);
}

TEST_CASE("a weigh-in more than 5 % from the roster's mass is told apart from clothes and a day") {
  using moundwork::weigh_in::differs_from_list;
  CHECK(differs_from_list({83.0, 0.1}, 60.0));
  CHECK(differs_from_list({45.0, 0.1}, 80.0));
  CHECK_FALSE(differs_from_list({81.5, 0.1}, 80.0));
  CHECK_FALSE(differs_from_list({83.9, 0.1}, 80.0));
  CHECK(differs_from_list({84.1, 0.1}, 80.0));
  // A roster without a mass says nothing against it.
  CHECK_FALSE(differs_from_list({81.5, 0.1}, std::numeric_limits<double>::quiet_NaN()));
}
