// SPDX-License-Identifier: GPL-3.0-or-later
// Loads and expected values: computed apart with NumPy, the whole way from bytes to the lab.
#include "core/c3d/force_platforms.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "core/plate/lab_axes.h"
#include "core/plate/wrench.h"
#include "support/c3d_builder.h"

using namespace moundwork;
using test::C3dRecipe;

namespace {

using Platforms = std::vector<Result<c3d::ForcePlatform>>;

struct Read {
  c3d::File file;
  Platforms platforms;
};

Read read(const C3dRecipe& recipe) {
  auto file = c3d::parse(build(recipe), "made.c3d");
  REQUIRE(file);
  auto platforms = c3d::force_platforms(*file);
  REQUIRE(platforms);
  return {std::move(*file), std::move(*platforms)};
}

struct Load {
  Eigen::Vector3d force;  // reaction, lab, N
  Eigen::Vector3d cop;    // lab, m
  double free_moment;     // N m
};

Load last_load(const c3d::File& file, const c3d::ForcePlatform& platform) {
  const auto map = plate::WrenchMap::make(platform.description);
  REQUIRE(map);
  const plate::WrenchSeries wrench = (*map)(c3d::scaled(file.analog, platform.channels));
  const auto cop = plate::centre_of_pressure(wrench, map->frame(), 50.0);
  const Eigen::Index last = wrench.rows() - 1;
  return {wrench.row(last).head<3>().matrix().transpose(), cop.row(last).matrix().transpose(),
          plate::free_moment(wrench, map->frame(), cop)(last)};
}

// Column vectors of the rotation, computed apart with NumPy.
Eigen::Matrix3d pitched_rotation() {
  Eigen::Matrix3d rotation;
  rotation << .996545758245, 0, -.083045479854, 0, -1, 0, -.083045479854, 0, -.996545758245;
  return rotation;
}

struct Wanted {
  Eigen::Vector3d action;  // plate axes
  Eigen::Vector2d cop;     // plate axes, m
  double free_moment;
};

const std::array<Wanted, 4> wanted{
    Wanted{{-90, 150, 800}, {0.060, -0.120}, 3.000},
    Wanted{{-90, 150, 800}, {0.060, -0.120}, 3.000},
    Wanted{{-90, 150, 800}, {0.021075, -0.085125}, 12.500},
    Wanted{{-96.8, 150.6, 801.8}, {0.059935145921676, -0.116833374906460}, 5.123237715140935}};

void check_all(const Read& read) {
  REQUIRE(read.platforms.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    INFO("type " << i + 1);
    REQUIRE(read.platforms[i]);
    const c3d::ForcePlatform& platform = *read.platforms[i];
    CHECK(platform.number == static_cast<int>(i) + 1);
    CHECK(static_cast<int>(platform.description.type) == static_cast<int>(i) + 1);
    CHECK(platform.loaded);
    const Load load = last_load(read.file, platform);
    // The file keeps corners, origins and scales as 32-bit reals, hence no more digits.
    const Eigen::Vector3d force = -(pitched_rotation() * wanted[i].action);
    CHECK((load.force - force).cwiseAbs().maxCoeff() < 2e-4);
    const Eigen::Vector3d cop =
        Eigen::Vector3d(0.5, 0, 0.25) + pitched_rotation().leftCols<2>() * wanted[i].cop;
    CHECK((load.cop - cop).cwiseAbs().maxCoeff() < 1e-6);
    CHECK(load.free_moment == Approx(wanted[i].free_moment).margin(1e-3));
  }
}

}  // namespace

TEST_CASE("all plate types in all storage variants give the worked loads", "[c3d][plates]") {
  for (const int processor : {84, 85, 86})
    for (const bool real : {false, true}) {
      INFO("processor " << processor << (real ? " real" : " integer"));
      const Read found = read(test::four_plate_recipe(processor, real));
      check_all(found);
      for (const auto& platform : found.platforms) {
        CHECK(platform->remarks.empty());
        CHECK(platform->description.reaction_sign == -1.0);
        CHECK(platform->baseline.isZero());
      }
    }
}

TEST_CASE("channels that already hold the reaction are found out", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  // Turning the scales turns every load but leaves the points of type 1 to be kept by hand.
  auto& scales = recipe.entry("ANALOG", "SCALE")->numbers;
  for (std::size_t i = 0; i < scales.size(); ++i)
    if (i != 3 && i != 4) scales[i] *= -1.0;
  const Read found = read(recipe);
  check_all(found);
  for (const auto& platform : found.platforms) CHECK(platform->description.reaction_sign == 1.0);
}

TEST_CASE("a plate nobody stood on keeps the standard's sign", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  const auto raw = recipe.raw;
  recipe.raw = [raw](std::size_t sample, std::size_t channel) {
    // 10 N the wrong way is drift, not a load.
    return raw(0, channel) - (channel == 8 && sample > 20 ? 20.0 : 0.0);
  };
  const Read found = read(recipe);
  for (const auto& platform : found.platforms) {
    REQUIRE(platform);
    CHECK_FALSE(platform->loaded);
    CHECK(platform->description.reaction_sign == -1.0);
  }
}

TEST_CASE("an origin quoted from the surface down is the same plate", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  recipe.entry("FORCE_PLATFORM", "ORIGIN")->numbers = {0,   0,   0,  -1.5, 2, 40,
                                                       120, 200, 54, 0,    0, 45};
  const Read found = read(recipe);
  check_all(found);
  CHECK(found.platforms[0]->remarks.empty());
  for (std::size_t i = 1; i < 4; ++i) CHECK(found.platforms[i]->remarks.size() == 1);
}

TEST_CASE("units of force plates are honoured", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, true);
  std::vector<std::string> units;
  SECTION("moments in N m though lengths are in mm") {
    auto& scales = recipe.entry("ANALOG", "SCALE")->numbers;
    for (const std::size_t i : {5U, 9U, 10U, 11U}) scales[i] /= 1000.0;
    // Rows of the type 4 matrix give N m when its channels say so.
    auto& matrices = recipe.entry("FORCE_PLATFORM", "CAL_MATRIX")->numbers;
    for (std::size_t i = 108; i < 144; ++i)
      if (i % 6 >= 3) matrices[i] /= 1000.0;
    units = {"N",  "N",   "N",          "mm", "mm", "N m", "nt", "newton", "N",
             "Nm", "N.m", "N\xc2\xb7m", "",   "kg", "N",   "N",  "N",      "N",
             "N",  "N",   "V",          "V",  "V",  "Nm",  "Nm", "Nm"};
  }
  SECTION("no units at all: newtons and POINT:UNITS") { units.assign(26, ""); }
  SECTION("kilonewtons") {
    auto& scales = recipe.entry("ANALOG", "SCALE")->numbers;
    for (std::size_t i = 6; i < 12; ++i) scales[i] /= 1000.0;
    units.assign(26, "");
    for (const std::size_t i : {6U, 7U, 8U}) units[i] = "kN";
    for (const std::size_t i : {9U, 10U, 11U}) units[i] = "kN*mm";
  }
  *recipe.entry("ANALOG", "UNITS") = test::text_entry("ANALOG", "UNITS", units);
  check_all(read(recipe));
}

TEST_CASE("a file in metres has moments in newton metres", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, true);
  *recipe.entry("POINT", "UNITS") = test::text_entry("POINT", "UNITS", {"m"});
  *recipe.entry("ANALOG", "UNITS") =
      test::text_entry("ANALOG", "UNITS", std::vector<std::string>(26, "V"));
  for (double& value : recipe.entry("FORCE_PLATFORM", "CORNERS")->numbers) value /= 1000.0;
  for (double& value : recipe.entry("FORCE_PLATFORM", "ORIGIN")->numbers) value /= 1000.0;
  auto& scales = recipe.entry("ANALOG", "SCALE")->numbers;
  for (const std::size_t i : {3U, 4U, 5U, 9U, 10U, 11U}) scales[i] /= 1000.0;
  auto& matrices = recipe.entry("FORCE_PLATFORM", "CAL_MATRIX")->numbers;
  for (std::size_t i = 108; i < 144; ++i)
    if (i % 6 >= 3) matrices[i] /= 1000.0;
  const Read found = read(recipe);
  check_all(found);
  // Types 1 to 3 say "V" where a force belongs: six or eight remarks; type 4 may.
  CHECK(found.platforms[1]->remarks.size() == 6);
  CHECK(found.platforms[3]->remarks.empty());
}

TEST_CASE("the baseline is the mean of the frames that ZERO names", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  const auto raw = recipe.raw;
  // The channels of the type 2 plate stand 7 counts off, 8 in frame 2.
  recipe.raw = [raw](std::size_t sample, std::size_t channel) {
    const bool plate_2 = channel >= 6 && channel < 12;
    return raw(sample, channel) + (plate_2 ? (sample / 4 == 1 ? 8.0 : 7.0) : 0.0);
  };
  auto& zero = recipe.entry("FORCE_PLATFORM", "ZERO")->numbers;
  SECTION("frames 1 to 4") {
    const Read found = read(recipe);
    // By hand: (7 + 8 + 7 + 7) / 4.
    CHECK((found.platforms[1]->baseline.array() - 7.25).abs().maxCoeff() < 1e-9);
    CHECK(found.platforms[0]->baseline.isZero());
  }
  SECTION("0 to 2 means 1 to 2") {
    zero = {0, 2};
    CHECK((read(recipe).platforms[1]->baseline.array() - 7.5).abs().maxCoeff() < 1e-9);
  }
  SECTION("2 to 2") {
    zero = {2, 2};
    CHECK((read(recipe).platforms[1]->baseline.array() - 8.0).abs().maxCoeff() < 1e-9);
  }
  SECTION("0 to 0 means none") {
    zero = {0, 0};
    const Read found = read(recipe);
    CHECK(found.platforms[1]->baseline.isZero());
    CHECK(found.platforms[1]->remarks.empty());
  }
  SECTION("absent means none") {
    recipe.remove("FORCE_PLATFORM", "ZERO");
    CHECK(read(recipe).platforms[1]->baseline.isZero());
  }
  SECTION("frames that are not there") {
    zero = {1, 13};
    const Read found = read(recipe);
    CHECK(found.platforms[1]->baseline.isZero());
    REQUIRE(found.platforms[1]->remarks.size() == 1);
    CHECK(found.platforms[1]->remarks[0].find("13 of 12") != std::string::npos);
  }
  SECTION("frames under load are no baseline") {
    zero = {6, 12};
    const Read found = read(recipe);
    CHECK(found.platforms[1]->baseline.isZero());
    REQUIRE(found.platforms[1]->remarks.size() == 1);
    CHECK(found.platforms[1]->remarks[0].find("not unloaded") != std::string::npos);
  }
}

TEST_CASE("a plate that hardly anybody touched has the sign of those that were loaded",
          "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  auto& scales = recipe.entry("ANALOG", "SCALE")->numbers;
  for (std::size_t i = 0; i < scales.size(); ++i)
    if (i != 3 && i != 4) scales[i] *= -1.0;
  const auto raw = recipe.raw;
  recipe.raw = [raw](std::size_t sample, std::size_t channel) {
    // The type 2 plate: at rest but for 10 N.
    const bool second = channel >= 6 && channel < 12;
    return second ? raw(0, channel) + (channel == 8 && sample > 20 ? 20.0 : 0.0)
                  : raw(sample, channel);
  };
  const Read found = read(recipe);
  REQUIRE(found.platforms[1]);
  CHECK_FALSE(found.platforms[1]->loaded);
  CHECK(found.platforms[0]->loaded);
  CHECK(found.platforms[1]->description.reaction_sign == 1.0);
}

TEST_CASE("an untared plate is told from a loaded one", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  const auto raw = recipe.raw;
  constexpr std::size_t vertical = 8;  // Fz of the type 2 plate, 0.5 N a count
  const auto with_vertical = [&](auto newtons) {
    recipe.raw = [raw, newtons](std::size_t sample, std::size_t channel) {
      return channel == vertical ? raw(0, channel) + 2.0 * newtons(sample / 4)
                                 : raw(sample, channel);
    };
    return read(recipe);
  };
  SECTION("an offset against the load is an offset, as some real recordings have it") {
    const Read found = with_vertical([](std::size_t frame) { return frame < 5 ? -212.0 : 500.0; });
    CHECK(found.platforms[1]->description.reaction_sign == -1.0);
    CHECK(found.platforms[1]->loaded);
    CHECK(found.platforms[1]->remarks.empty());
    CHECK(found.platforms[1]->baseline(2) == Approx(-424.0));
  }
  SECTION("the same with the reaction in the channels") {
    const Read found = with_vertical([](std::size_t frame) { return frame < 5 ? 212.0 : -500.0; });
    CHECK(found.platforms[1]->description.reaction_sign == 1.0);
    CHECK(found.platforms[1]->baseline(2) == Approx(424.0));
  }
  SECTION("someone who stands there from the start and steps off is no offset") {
    const Read found = with_vertical([](std::size_t frame) { return frame < 9 ? 700.0 : 3.0; });
    CHECK(found.platforms[1]->description.reaction_sign == -1.0);
    CHECK(found.platforms[1]->baseline.isZero());
    CHECK(found.platforms[1]->remarks.size() == 1);
  }
  SECTION("nor is someone who stands still throughout") {
    const Read found = with_vertical([](std::size_t frame) { return frame % 2 == 0 ? 698 : 702; });
    CHECK(found.platforms[1]->loaded);
    CHECK(found.platforms[1]->description.reaction_sign == -1.0);
    CHECK(found.platforms[1]->baseline.isZero());
    CHECK(found.platforms[1]->remarks.size() == 1);
  }
}

TEST_CASE("one bad plate does not take the others with it", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  std::size_t bad = 1;
  std::string says;
  SECTION("an unknown type") {
    recipe.entry("FORCE_PLATFORM", "TYPE")->numbers[1] = 7;
    says = "type 7";
  }
  SECTION("a channel that is not in the file") {
    recipe.entry("FORCE_PLATFORM", "CHANNEL")->numbers[8 + 2] = 27;
    says = "1 to 26";
  }
  SECTION("a channel left open") {
    recipe.entry("FORCE_PLATFORM", "CHANNEL")->numbers[8 + 2] = 0;
    says = "number 0";
  }
  SECTION("corners in one place") {
    auto& corners = recipe.entry("FORCE_PLATFORM", "CORNERS")->numbers;
    for (std::size_t i = 12; i < 24; ++i) corners[i] = 0;
    says = "corners";
  }
  SECTION("an origin that is no number") {
    recipe.entry("FORCE_PLATFORM", "ORIGIN")->numbers[3] = NAN;
    says = "finite";
  }
  SECTION("corners missing for the last") {
    bad = 3;
    auto* corners = recipe.entry("FORCE_PLATFORM", "CORNERS");
    corners->dimensions = {3, 4, 3};
    corners->numbers.resize(36);
    says = "CORNERS";
  }
  SECTION("no matrix for a type 4 plate") {
    bad = 3;
    recipe.remove("FORCE_PLATFORM", "CAL_MATRIX");
    says = "CAL_MATRIX";
  }
  SECTION("a matrix too small") {
    bad = 3;
    recipe.entry("FORCE_PLATFORM", "CAL_MATRIX")->dimensions = {3, 12, 4};
    says = "6 x 6";
  }
  SECTION("channels without a scale") {
    bad = 3;
    auto* scale = recipe.entry("ANALOG", "SCALE");
    scale->dimensions = {22};
    scale->numbers.resize(22);
    says = "ANALOG:SCALE";
  }
  const Read found = read(recipe);
  REQUIRE(found.platforms.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    INFO("plate " << i + 1);
    CHECK(found.platforms[i].has_value() == (i != bad));
  }
  const Error error = found.platforms[bad].error();
  CAPTURE(error.sentence());
  CHECK(error.where.find("force plate " + std::to_string(bad + 1)) != std::string::npos);
  CHECK(error.sentence().find(says) != std::string::npos);
}

TEST_CASE("more plates than described are errors each", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  recipe.entry("FORCE_PLATFORM", "USED")->numbers = {6};
  const Read found = read(recipe);
  REQUIRE(found.platforms.size() == 6);
  CHECK(found.platforms[3]);
  CHECK_FALSE(found.platforms[4]);
}

TEST_CASE("a file that describes no plates says so", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, false);
  SECTION("no group") { recipe.remove("FORCE_PLATFORM", "USED"); }
  SECTION("none used") { recipe.entry("FORCE_PLATFORM", "USED")->numbers = {0}; }
  SECTION("an absurd number") { recipe.entry("FORCE_PLATFORM", "USED")->numbers = {-3}; }
  const auto file = c3d::parse(build(recipe), "made.c3d");
  REQUIRE(file);
  const auto platforms = c3d::force_platforms(*file);
  REQUIRE_FALSE(platforms);
  CHECK(platforms.error().what.find("FORCE_PLATFORM:USED") != std::string::npos);
}

TEST_CASE("a recording with y up is turned into the lab", "[c3d][plates]") {
  C3dRecipe recipe = test::four_plate_recipe(84, true);
  // The same plates in a frame with y up and home along -z: recorded = (-y, z, -x) of the lab.
  auto& corners = recipe.entry("FORCE_PLATFORM", "CORNERS")->numbers;
  for (std::size_t i = 0; i < corners.size(); i += 3) {
    const Eigen::Vector3d lab(corners[i], corners[i + 1], corners[i + 2]);
    corners[i] = -lab.y();
    corners[i + 1] = lab.z();
    corners[i + 2] = -lab.x();
  }
  auto file = c3d::parse(build(recipe), "made.c3d");
  REQUIRE(file);
  const auto upright = c3d::force_platforms(*file);
  REQUIRE(upright);
  CHECK_FALSE((*upright)[0]);
  auto turned = c3d::force_platforms(*file, *plate::lab_axes("-z", "y", "test"));
  REQUIRE(turned);
  check_all({std::move(*file), std::move(*turned)});
}
