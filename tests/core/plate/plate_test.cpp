// SPDX-License-Identifier: GPL-3.0-or-later
// Expected values: computed apart with NumPy (by forward cross product, inverse
// formula and linear solve, which agree), turned into metres.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/plate/component_unit.h"
#include "core/plate/geometry.h"
#include "core/plate/lab_axes.h"
#include "core/plate/wrench.h"

using namespace moundwork;
using namespace moundwork::plate;

namespace {

// A level 600 x 400 mm plate whose axes are the lab's turned half round x: z down.
PlateDescription level_plate(PlateType type) {
  PlateDescription plate;
  plate.type = type;
  plate.corners = {Eigen::Vector3d{0.3, -0.2, 0}, Eigen::Vector3d{-0.3, -0.2, 0},
                   Eigen::Vector3d{-0.3, 0.2, 0}, Eigen::Vector3d{0.3, 0.2, 0}};
  const int n = component_count(type);
  plate.sensitivity = Eigen::MatrixXd::Identity(n, n);
  return plate;
}

// Reference-facts 1.4: the same plate pitched by atan(1/12), centre (0.5, 0, 0.25).
PlateDescription pitched_plate(PlateType type) {
  PlateDescription plate = level_plate(type);
  plate.corners = {Eigen::Vector3d{0.798963727473464, -0.200, 0.225086356043878},
                   Eigen::Vector3d{0.201036272526536, -0.200, 0.274913643956122},
                   Eigen::Vector3d{0.201036272526536, 0.200, 0.274913643956122},
                   Eigen::Vector3d{0.798963727473464, 0.200, 0.225086356043878}};
  return plate;
}

struct OnPlate {
  Eigen::Vector3d action;  // on the plate, plate axes, N
  Eigen::Vector3d moment;  // about the surface centre, plate axes, N m
  Eigen::Vector2d cop;     // plate axes from the centre, m
  double free_moment;      // action about plate z, N m
};

// The lab results brought back into the plate's axes, where the examples are stated.
OnPlate solve(const PlateDescription& plate, const Eigen::RowVectorXd& channels) {
  const auto map = WrenchMap::make(plate);
  REQUIRE(map);
  const WrenchSeries wrench = (*map)(channels);
  const auto cop = centre_of_pressure(wrench, map->frame(), 50.0);
  const Eigen::Matrix3d to_plate = map->frame().rotation.transpose();
  const Eigen::Vector3d force = wrench.row(0).head<3>().matrix();
  const Eigen::Vector3d moment = wrench.row(0).tail<3>().matrix();
  const Eigen::Vector3d point = cop.row(0).matrix().transpose() - map->frame().centre;
  const Eigen::Vector3d on_plate = to_plate * point;
  CHECK(on_plate.z() == Approx(0.0).margin(1e-12));
  // Up is minus plate z and the reaction minus the action, so both signs cancel.
  return {-(to_plate * force), -(to_plate * moment), on_plate.head<2>(),
          free_moment(wrench, map->frame(), cop)(0)};
}

void check(const Eigen::VectorXd& found, const Eigen::VectorXd& wanted, double margin) {
  REQUIRE(found.size() == wanted.size());
  for (Eigen::Index i = 0; i < found.size(); ++i) {
    INFO("component " << i);
    CHECK(found(i) == Approx(wanted(i)).margin(margin));
  }
}

}  // namespace

TEST_CASE("worked type 2 plate", "[plate]") {
  PlateDescription plate = level_plate(PlateType::six_component);
  plate.origin = {0.0015, -0.002, -0.040};
  Eigen::RowVectorXd channels(6);
  channels << -90, 150, 800, -91.600, -45.600, 1.245;
  SECTION("as the action") {
    const OnPlate found = solve(plate, channels);
    check(found.action, Eigen::Vector3d(-90, 150, 800), 1e-9);
    check(found.moment, Eigen::Vector3d(-96.000, -48.000, 1.200), 1e-9);
    check(found.cop, Eigen::Vector2d(0.060, -0.120), 1e-12);
    CHECK(found.free_moment == Approx(3.000).margin(1e-9));
  }
  SECTION("negated channels that already hold the reaction give the same") {
    plate.reaction_sign = 1.0;
    const OnPlate found = solve(plate, -channels);
    check(found.action, Eigen::Vector3d(-90, 150, 800), 1e-9);
    check(found.cop, Eigen::Vector2d(0.060, -0.120), 1e-12);
    CHECK(found.free_moment == Approx(3.000).margin(1e-9));
  }
}

TEST_CASE("worked type 1 plate", "[plate]") {
  Eigen::RowVectorXd channels(6);
  channels << -90, 150, 800, 0.060, -0.120, 3.000;
  const OnPlate found = solve(level_plate(PlateType::centre_of_pressure), channels);
  check(found.moment, Eigen::Vector3d(-96.000, -48.000, 1.200), 1e-9);
  check(found.cop, Eigen::Vector2d(0.060, -0.120), 1e-12);
  CHECK(found.free_moment == Approx(3.000).margin(1e-9));
}

TEST_CASE("worked type 3 plate", "[plate]") {
  PlateDescription plate = level_plate(PlateType::eight_component);
  plate.origin = {0.120, 0.200, -0.054};
  Eigen::RowVectorXd channels(8);
  channels << -50, -40, 100, 50, 150, 100, 250, 300;
  const OnPlate found = solve(plate, channels);
  check(found.action, Eigen::Vector3d(-90, 150, 800), 1e-9);
  check(found.cop, Eigen::Vector2d(0.021075, -0.085125), 1e-12);
  CHECK(found.free_moment == Approx(12.500).margin(1e-9));
}

TEST_CASE("worked type 4 plate", "[plate]") {
  PlateDescription plate = level_plate(PlateType::six_component_matrix);
  plate.origin = {0, 0, -0.045};
  Eigen::MatrixXd c = Eigen::MatrixXd::Zero(6, 6);
  c.diagonal() << 500, 500, 1000, 250, 250, 150;
  c(0, 2) = 4;
  c(1, 0) = -3;
  c(2, 1) = 6;
  c(3, 1) = 2;
  c(4, 2) = -1.5;
  c(5, 0) = 0.8;
  plate.sensitivity = c;
  Eigen::RowVectorXd channels(6);
  channels << -.2, .3, .8, -.35, -.17, .02;
  const OnPlate found = solve(plate, channels);
  check(found.action, Eigen::Vector3d(-96.8, 150.6, 801.8), 1e-9);
  check(found.cop, Eigen::Vector2d(0.059935145921676, -0.116833374906460), 1e-12);
  CHECK(found.free_moment == Approx(5.123237715140935).margin(1e-9));
}

TEST_CASE("a force-only plate with crosstalk", "[plate]") {
  PlateDescription plate = level_plate(PlateType::six_component);
  plate.sensitivity = Eigen::MatrixXd::Zero(6, 3);
  plate.sensitivity.topRows<3>() << 1.02, .01, -.005, -.02, .99, .004, .003, -.006, 1.01;
  Eigen::RowVectorXd channels(3);
  channels << -90, 150, 800;
  const OnPlate found = solve(plate, channels);
  check(found.action, Eigen::Vector3d(-94.3, 153.5, 806.83), 1e-9);
}

TEST_CASE("a pitched plate is turned into the lab", "[plate]") {
  PlateDescription plate = pitched_plate(PlateType::six_component);
  plate.origin = {0.0015, -0.002, -0.040};
  const auto map = WrenchMap::make(plate);
  REQUIRE(map);
  Eigen::Matrix3d rotation;
  rotation << .996545758245, 0, -.083045479854, 0, -1, 0, -.083045479854, 0, -.996545758245;
  CHECK((map->frame().rotation - rotation).cwiseAbs().maxCoeff() < 1e-12);
  CHECK(map->frame().half_size.isApprox(Eigen::Vector2d(0.3, 0.2), 1e-9));
  Eigen::RowVectorXd channels(6);
  channels << -90, 150, 800, -91.600, -45.600, 1.245;
  const WrenchSeries wrench = (*map)(channels);
  check(wrench.row(0).head<3>().matrix().transpose(),
        Eigen::Vector3d(156.125502125031, 150, 789.762513409067), 1e-9);
  const auto cop = centre_of_pressure(wrench, map->frame(), 50.0);
  check(cop.row(0).matrix().transpose(),
        Eigen::Vector3d(0.559792745494693, 0.120, 0.245017271208776), 1e-12);
  // The free moment's vector in the lab is (249.136439561220, 0, 2989.637274734639) N mm.
  const Eigen::Vector3d vector = free_moment(wrench, map->frame(), cop)(0) * map->frame().up;
  check(vector, Eigen::Vector3d(0.249136439561220, 0, 2.989637274734639), 1e-9);
  // The force's linear map alone says the same as the whole wrench.
  check(map->force_matrix() * channels.transpose(),
        Eigen::Vector3d(156.125502125031, 150, 789.762513409067), 1e-9);
}

TEST_CASE("the centre of pressure is blank under little load", "[plate]") {
  const auto map = WrenchMap::make(level_plate(PlateType::six_component));
  REQUIRE(map);
  Eigen::MatrixXd channels(2, 6);
  channels << 0, 0, 49, 1, 1, 1, 0, 0, 51, 1, 1, 1;
  const WrenchSeries wrench = (*map)(channels);
  const auto cop = centre_of_pressure(wrench, map->frame(), 50.0);
  CHECK(std::isnan(cop(0, 0)));
  CHECK(std::isfinite(cop(1, 0)));
  CHECK(free_moment(wrench, map->frame(), cop)(0) == 0.0);
}

TEST_CASE("corners that are no plate are refused", "[plate]") {
  PlateDescription plate = level_plate(PlateType::six_component);
  SECTION("all in one place") { plate.corners.fill(Eigen::Vector3d(1, 1, 0)); }
  SECTION("on one line") {
    for (std::size_t i = 0; i < 4; ++i) plate.corners[i] = {0.1 * static_cast<double>(i), 0, 0};
  }
  SECTION("crossed over") { std::swap(plate.corners[2], plate.corners[3]); }
  SECTION("two of them equal") { plate.corners[1] = plate.corners[0]; }
  SECTION("not a number") { plate.corners[2].y() = NAN; }
  SECTION("millimetres taken for metres") {
    for (auto& corner : plate.corners) corner *= 1000.0;
  }
  SECTION("infinite") { plate.corners[2].y() = INFINITY; }
  SECTION("upright") {
    for (auto& corner : plate.corners) corner = {corner.x(), 0, corner.y()};
  }
  const auto frame = plate_frame(plate);
  REQUIRE_FALSE(frame);
  CHECK(frame.error().where == "plate corners");
}

TEST_CASE("a sensitivity that does not fit its type is refused", "[plate]") {
  PlateDescription plate = level_plate(PlateType::eight_component);
  SECTION("too few rows") { plate.sensitivity = Eigen::MatrixXd::Identity(6, 8); }
  SECTION("no channels") { plate.sensitivity.resize(8, 0); }
  SECTION("a coefficient that is no number") { plate.sensitivity(3, 3) = NAN; }
  CHECK_FALSE(WrenchMap::make(plate));
}

TEST_CASE("a recording's axes are turned into the lab's", "[plate]") {
  // By hand: home along y and up along z make the lab's left (y) the recording's -x.
  const auto turned = lab_axes("+y", "z", "test");
  REQUIRE(turned);
  check(*turned * Eigen::Vector3d(1, 2, 3), Eigen::Vector3d(2, -1, 3), 0);
  // By hand: home along -z and up along y leave x x y = z, so left is y x (-z) = -x.
  const auto upright = lab_axes("-z", "y", "test");
  REQUIRE(upright);
  check(*upright * Eigen::Vector3d(1, 2, 3), Eigen::Vector3d(-3, -1, 2), 0);
  CHECK(upright->determinant() == 1.0);
  for (const auto& [home, up] : {std::pair{"x", "-x"}, {"x", ""}, {"X", "z"}, {"up", "z"}})
    CHECK_FALSE(lab_axes(home, up, "test"));
}

TEST_CASE("unit names are read", "[plate]") {
  const auto moment = parse_component_unit("ntmm");
  REQUIRE(moment);
  CHECK(moment->kind == UnitKind::moment);
  CHECK(moment->factor == 1e-3);
  CHECK(parse_component_unit("N-m")->factor == 1.0);
  CHECK(parse_component_unit("Ncm")->factor == 1e-2);
  CHECK(parse_component_unit("kN")->factor == 1e3);
  CHECK(parse_component_unit("mm")->kind == UnitKind::length);
  for (const char* other : {"", "V", "mV", "N/m", "d.u.", "kg", "Nmmm", "k"})
    CHECK_FALSE(parse_component_unit(other));
}
