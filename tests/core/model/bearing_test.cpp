// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/bearing.h"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <limits>

#include "core/model/station.h"

using namespace moundwork;
using namespace moundwork::model;

namespace {

constexpr double endless = std::numeric_limits<double>::infinity();

FootLoad some_foot() { return {{-310.0, 45.0, 1500.0}, {1.30, -0.12}, 7.5}; }

Eigen::Vector3d moment_of(const FootLoad& foot) {
  const Eigen::Vector3d point(foot.point.x(), foot.point.y(), 0.0);
  return point.cross(foot.force) + Eigen::Vector3d(0.0, 0.0, foot.free_moment);
}

Station station_with(const StationSettings& settings) {
  Random random(4, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  return draw_station(athlete, settings, random);
}

}  // namespace

TEST_CASE("the parts of a foot on either side of an edge are the whole foot", "[bearing]") {
  const FootLoad whole = some_foot();
  const Eigen::Vector2d size(0.28, 0.10);
  for (const double edge : {1.17, 1.25, 1.30, 1.41}) {
    const auto near = part_within(
        whole, size, {Eigen::Vector2d(-endless, -endless), Eigen::Vector2d(edge, endless)});
    const auto far = part_within(
        whole, size, {Eigen::Vector2d(edge, -endless), Eigen::Vector2d(endless, endless)});
    REQUIRE(near);
    REQUIRE(far);
    CHECK((near->force + far->force - whole.force).norm() < 1e-9);
    CHECK((moment_of(*near) + moment_of(*far) - moment_of(whole)).norm() < 1e-9);
    // Even pressure: 0.14 m of the foot are behind its centre, all that is before the edge presses
    // in proportion, in its middle.
    CHECK(near->force.z() == Approx(1500.0 * (edge - 1.16) / 0.28));
    CHECK(near->point.x() == Approx(0.5 * (1.16 + edge)));
    CHECK(far->point.x() == Approx(0.5 * (1.44 + edge)));
    CHECK(near->point.y() == whole.point.y());
  }
}

TEST_CASE("a foot wholly on a plate is untouched, one wholly beside it is not there", "[bearing]") {
  const FootLoad whole = some_foot();
  const Eigen::AlignedBox2d area(Eigen::Vector2d(1.0, -endless), Eigen::Vector2d(1.5, 0.0));
  const auto within = part_within(whole, {0.28, 0.10}, area);
  REQUIRE(within);
  CHECK(within->force == whole.force);
  CHECK(within->point == whole.point);
  CHECK(within->free_moment == whole.free_moment);
  CHECK_FALSE(part_within(whole, {0.28, 0.10},
                          {Eigen::Vector2d(1.5, -endless), Eigen::Vector2d(2.0, endless)}));
  // Across a corner a quarter of it is left.
  const auto corner =
      part_within(whole, {0.28, 0.10}, {Eigen::Vector2d(1.30, -0.12), Eigen::Vector2d(2.0, 1.0)});
  REQUIRE(corner);
  CHECK(corner->force.z() == Approx(375.0));
  CHECK(corner->point.x() == Approx(1.37));
  CHECK(corner->point.y() == Approx(-0.095));
}

TEST_CASE("a plate alone bears its foot whole, plates of a row to their joint", "[bearing]") {
  const auto alone = bearings(station_with({}).stated);
  REQUIRE(alone.size() == 2);
  CHECK(alone[0].bears(Surface::back_plate));
  CHECK_FALSE(alone[0].bears(Surface::lead_plate));
  CHECK_FALSE(alone[1].bears(Surface::ground));
  for (const Bearing& one : alone) {
    CHECK(one.area.min() == Eigen::Vector2d(-endless, -endless));
    CHECK(one.area.max() == Eigen::Vector2d(endless, endless));
  }

  StationSettings settings;
  settings.back_plates.plates = 2;
  settings.lead_plates.plates = 3;
  const Station station = station_with(settings);
  const auto row = bearings(station.stated);
  REQUIRE(row.size() == 5);
  // The back foot's from the third-base side (-y), parted in the middle of the rubber.
  CHECK(row[0].area.max().y() == Approx(0.0).margin(1e-12));
  CHECK(row[1].area.min().y() == Approx(0.0).margin(1e-12));
  CHECK(row[1].area.max().y() == endless);
  CHECK(row[0].area.max().x() == endless);  // the lead foot's plates are not next to it
  CHECK(row[2].area.min().x() == -endless);
  CHECK(row[2].area.max().x() == row[3].area.min().x());
  CHECK(row[3].area.max().x() == row[4].area.min().x());
  CHECK(row[3].area.sizes().x() == Approx(0.3).epsilon(0.01));
  CHECK_FALSE(row[2].bears(Surface::back_plate));
}

TEST_CASE("where the feet's areas meet each bears what stands there", "[bearing]") {
  StationSettings settings;
  settings.feet_meet = 0.08;
  settings.lead_plates.plates = 2;
  const auto all = bearings(station_with(settings).stated);
  REQUIRE(all.size() == 3);
  CHECK(all[0].area.max().x() == Approx(0.08).margin(0.005));
  CHECK(all[1].area.min().x() == all[0].area.max().x());
  for (const Bearing& one : all) {
    CHECK(one.bears(Surface::back_plate));
    CHECK(one.bears(Surface::lead_plate));
    CHECK_FALSE(one.bears(Surface::ground));
  }
}
