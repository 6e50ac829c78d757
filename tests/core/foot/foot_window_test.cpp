// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/foot_window.h"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "core/foot/foot_forces.h"

using namespace moundwork;

namespace {

// What a foot does to the ground: a point, a force and a free moment, all changing in time.
struct Load {
  Eigen::Vector3d point, force;
  double twist = 0.0;
};

// A mound's slope of one in twelve.
const Eigen::Vector3d up = Eigen::Vector3d(1.0 / 12.0, 0.0, 1.0).normalized();

plate::PlateFrame sloping_plate(double x) {
  plate::PlateFrame frame;
  frame.up = up;
  frame.rotation.col(1) = -Eigen::Vector3d::UnitY();
  frame.rotation.col(2) = -up;
  frame.rotation.col(0) = frame.rotation.col(1).cross(frame.rotation.col(2));
  frame.centre = {x, 0.0, -x / 12.0};
  frame.half_size = {0.3, 0.3};
  return frame;
}

double height(double x) { return -x / 12.0; }

Load whole(double t) {
  const double wave = std::sin(2.0 * std::numbers::pi * 3.0 * t);
  const double x = 1.5 + 0.04 * wave;
  return {{x, 0.02 * wave, height(x)},
          {-600.0 + 100.0 * wave, 40.0 * wave, 1500.0 + 200.0 * wave},
          3.0 * wave};
}

// A force `share` of the whole at a place 40 mm to one side; the other plate has the rest, where it
// must be for both together to be the whole: sum of s p = p, so that no couple is left over.
Load part(double t, double share, bool first) {
  const Load all = whole(t);
  const double aside = 0.04;
  const double dx = first ? -aside * (1.0 - share) : aside * share;
  const double own = first ? share : 1.0 - share;
  return {{all.point.x() + dx, all.point.y(), height(all.point.x() + dx)},
          own * all.force,
          own * all.twist};
}

foot::PlateWindow record(const plate::PlateFrame& frame, double rate, double start,
                         const std::function<Load(double)>& load) {
  foot::PlateWindow window;
  window.start = start;
  window.step = 1.0 / rate;
  window.frame = frame;
  window.zero_seen = true;
  window.noise << 1.0, 1.0, 2.0, 0.3, 0.3, 0.2;
  const auto n = static_cast<Eigen::Index>(0.8 * rate);
  window.wrench.resize(n, 6);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Load now = load(window.time(static_cast<double>(i)));
    const Eigen::Vector3d moment =
        (now.point - frame.centre).cross(now.force) + now.twist * frame.up;
    window.wrench.row(i) << now.force.transpose().array(), moment.transpose().array();
  }
  return window;
}

// Greatest difference of force (N), centre of pressure (m) and free moment (N m) from the truth.
struct Off {
  double force = 0.0, place = 0.0, twist = 0.0;
};
Off off_by(const foot::PlateWindow& window) {
  const auto cop = plate::centre_of_pressure(window.wrench, window.frame, 20.0);
  const auto twist = plate::free_moment(window.wrench, window.frame, cop);
  Off off;
  for (Eigen::Index i = 20; i < window.size() - 20; ++i) {
    const Load truth = whole(window.time(static_cast<double>(i)));
    const Eigen::Array3d force = window.wrench.row(i).head<3>().transpose();
    const Eigen::Vector3d place = cop.row(i).transpose();
    off.force = std::max(off.force, (force - truth.force.array()).abs().maxCoeff());
    off.place = std::max(off.place, (place - truth.point).norm());
    off.twist = std::max(off.twist, std::abs(twist(i) - truth.twist));
  }
  return off;
}

}  // namespace

TEST_CASE("a foot across the edge of two plates is what it is on one", "[foot]") {
  const auto share = [](double t) { return 0.5 + 0.4 * std::cos(5.0 * t); };
  const auto one = foot::FootWindow::make({record(sloping_plate(1.5), 1000.0, 0.0, whole)});
  REQUIRE(one);
  const Off alone = off_by(one->whole());
  CHECK(alone.force < 1e-9);
  CHECK(alone.place < 1e-9);

  const auto two = foot::FootWindow::make(
      {record(sloping_plate(1.2), 1000.0, 0.0, [&](double t) { return part(t, share(t), true); }),
       record(sloping_plate(1.8), 1000.0, 0.0,
              [&](double t) { return part(t, share(t), false); })});
  REQUIRE(two);
  const Off summed = off_by(two->whole());
  CHECK(summed.force < 1e-9);
  CHECK(summed.place < 1e-9);
  CHECK(summed.twist < 1e-9);
}

TEST_CASE("plates of other rates and clocks meet on the samples of the fastest", "[foot]") {
  const auto share = [](double t) { return 0.5 + 0.4 * std::cos(5.0 * t); };
  const auto two = foot::FootWindow::make(
      {record(sloping_plate(1.2), 400.0, 0.0007, [&](double t) { return part(t, share(t), true); }),
       record(sloping_plate(1.8), 1000.0, 0.0,
              [&](double t) { return part(t, share(t), false); })});
  REQUIRE(two);
  CHECK(two->whole().step == 0.001);
  CHECK(two->plates()[0].size() == two->whole().size());
  const Off summed = off_by(two->whole());
  // A spline through 400 samples a second of a wave of 3 Hz is right to parts in a hundred million.
  CHECK(summed.force < 0.001);
  CHECK(summed.place < 1e-6);
}

TEST_CASE("the noise of a foot's centre of pressure is that of its plates together", "[foot]") {
  const auto made = foot::FootWindow::make(
      {record(sloping_plate(1.2), 1000.0, 0.0, [](double t) { return part(t, 0.5, true); }),
       record(sloping_plate(1.8), 1000.0, 0.0, [](double t) { return part(t, 0.5, false); })});
  REQUIRE(made);
  const foot::PlateWindow& both = made->whole();
  CHECK(both.noise(2) == Approx(2.0 * std::sqrt(2.0)));
  // About the point between two equal plates a vertical force reads wrong by 2 N on each, 0.3 m to
  // either side: a moment of 0.6 N m from each beside its own 0.3.
  CHECK(both.frame.centre.x() == Approx(1.5));
  CHECK(both.noise(4) ==
        Approx(std::sqrt(2.0 * (0.3 * 0.3 + std::pow(0.3 * 2.0, 2) + std::pow(0.025, 2)))));
}

TEST_CASE("a plate too slow for the filters is refused beside a fast one", "[foot]") {
  const auto load = [](double t) { return part(t, 0.5, true); };
  const auto both = foot::FootWindow::make(
      {record(sloping_plate(1.2), 60.0, 0.0, load), record(sloping_plate(1.8), 1000.0, 0.0, load)});
  REQUIRE(both);
  CHECK_FALSE(foot::filter_forces(both->whole(), {0, both->whole().size()}, {}));
  CHECK_FALSE(foot::filter_forces(record(sloping_plate(1.2), 60.0, 0.0, load), {0, 40}, {}));
}

TEST_CASE("a plate that was never seen empty is as noisy as the others", "[foot]") {
  auto first = record(sloping_plate(1.2), 1000.0, 0.0, whole);
  auto second = record(sloping_plate(1.8), 1000.0, 0.0, whole);
  second.zero_seen = false;
  second.noise.setZero();
  const auto both = foot::FootWindow::make({first, second});
  REQUIRE(both);
  CHECK(both->whole().noise(2) == Approx(2.0 * std::sqrt(2.0)));
}

TEST_CASE("a sample that is no number stays one sample of its plate", "[foot]") {
  auto slow = record(sloping_plate(1.2), 500.0, 0.0, whole);
  slow.wrench(100, 0) = std::nan("");
  const auto both = foot::FootWindow::make({slow, record(sloping_plate(1.8), 1000.0, 0.0, whole)});
  REQUIRE(both);
  const auto x = both->whole().wrench.col(0);
  CHECK(x.isNaN().any());
  CHECK(x.isNaN().count() < 5);
}

TEST_CASE("a foot's window has what any of its plates lost, and none without a common time",
          "[foot]") {
  auto first = record(sloping_plate(1.2), 1000.0, 0.0, whole);
  auto second = record(sloping_plate(1.8), 1000.0, 0.0, whole);
  first.gaps = {{0.1, 0.2}};
  second.clipped = {{{0.3, 0.31}, "Fz"}};
  second.zero_seen = false;
  first.zero_u = 3.0;
  second.zero_u = 4.0;
  const auto both = foot::FootWindow::make({first, second});
  REQUIRE(both);
  CHECK(both->whole().gaps.size() == 1);
  CHECK(both->whole().clipped.size() == 1);
  CHECK_FALSE(both->whole().zero_seen);
  CHECK(both->whole().zero_u == Approx(5.0));
  second.start = 10.0;
  const auto apart = foot::FootWindow::make({first, second});
  REQUIRE_FALSE(apart);
  CHECK(apart.error().sentence().find("at the same time") != std::string::npos);
}
