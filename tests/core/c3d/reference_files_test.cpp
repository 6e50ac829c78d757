// SPDX-License-Identifier: GPL-3.0-or-later
// Real recordings against values that do not come from this code: the README of the reference set
// (an open C3D reader for the plate wrench, then NumPy).
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/plate/wrench.h"
#include "support/c3d_reference.h"

using namespace moundwork;

namespace {

struct Extremes {
  std::string file;
  std::size_t plate;
  plate::PlateType type;
  std::array<double, 3> highest, lowest;
};

using plate::PlateType;
const std::vector<Extremes> readme_table{
    {"c3d/TYPE-2.C3D",
     1,
     PlateType::six_component,
     {106.293, 23.567, 397.851},
     {-87.192, -15.348, -1.481}},
    {"c3d/TYPE-4.C3D",
     1,
     PlateType::six_component_matrix,
     {112.228, 25.270, 390.484},
     {-92.076, -15.957, -1.467}},
    {"c3d/TYPE-2a.c3d",
     1,
     PlateType::six_component,
     {30.848, 18.857, 521.642},
     {-52.856, -55.077, -12.845}},
    {"c3d/TYPE-2a.c3d",
     2,
     PlateType::six_component,
     {52.434, 44.325, 582.835},
     {-36.685, -38.439, -15.869}},
    {"c3d/TYPE-4a.c3d",
     1,
     PlateType::six_component_matrix,
     {30.242, 17.877, 520.678},
     {-53.365, -56.374, -13.068}},
    {"c3d/TYPE-4a.c3d",
     2,
     PlateType::six_component_matrix,
     {52.415, 45.613, 583.236},
     {-36.381, -37.662, -15.876}},
    {"c3d/TYPE-3.c3d",
     1,
     PlateType::eight_component,
     {57.877, 55.632, 726.632},
     {-105.310, -38.845, 0.0}},
    {"pitch-a.c3d",
     2,
     PlateType::six_component,
     {642.03, 61.17, 1095.92},
     {-82.23, -156.82, -1.16}},
    {"pitch-a.c3d",
     3,
     PlateType::six_component,
     {162.25, 180.44, 2251.38},
     {-1347.71, -195.00, -1.88}},
};

}  // namespace

TEST_CASE("plate extremes of real recordings agree with an independent reader", "[c3d]") {
  for (const Extremes& wanted : readme_table) {
    const auto path = test::reference_file(wanted.file);
    if (!path) {
      WARN("SKIPPED: reference recording " << wanted.file << " is not here");
      continue;
    }
    INFO(wanted.file << " plate " << wanted.plate);
    const auto file = c3d::read(*path);
    REQUIRE(file);
    const auto platforms = c3d::force_platforms(*file);
    REQUIRE(platforms);
    REQUIRE(platforms->size() >= wanted.plate);
    const auto& platform = (*platforms)[wanted.plate - 1];
    REQUIRE(platform);
    CHECK(platform->description.type == wanted.type);
    CHECK(platform->loaded);
    const auto map = plate::WrenchMap::make(platform->description);
    REQUIRE(map);
    // The table was made without the optional baseline of FORCE_PLATFORM:ZERO.
    const plate::WrenchSeries wrench = (*map)(c3d::scaled(file->analog, platform->channels));
    double greatest = 0.0;
    for (std::size_t i = 0; i < 3; ++i)
      greatest = std::max({greatest, std::abs(wanted.highest[i]), std::abs(wanted.lowest[i])});
    for (std::size_t i = 0; i < 3; ++i) {
      const auto column = wrench.col(static_cast<Eigen::Index>(i));
      INFO("axis " << i << ": " << column.maxCoeff() << " " << column.minCoeff());
      CHECK(std::abs(column.maxCoeff() - wanted.highest[i]) <= 1e-4 * greatest);
      CHECK(std::abs(column.minCoeff() - wanted.lowest[i]) <= 1e-4 * greatest);
    }
  }
}

TEST_CASE("every plate of a walk over four carries the same person", "[c3d]") {
  const auto path = test::reference_file("c3d/TYPE-3.c3d");
  if (!path) {
    WARN("SKIPPED: reference recording TYPE-3.c3d is not here");
    return;
  }
  const auto file = c3d::read(*path);
  REQUIRE(file);
  const auto platforms = c3d::force_platforms(*file);
  REQUIRE(platforms);
  REQUIRE(platforms->size() == 4);
  // Plates 3 and 4 stand 212 N and 181 N off against the load. Tared, each step must look like one
  // of the same walker: at most as heavy as plate 1's 727 N by a margin, and nothing below zero.
  for (const auto& platform : *platforms) {
    REQUIRE(platform);
    INFO("plate " << platform->number);
    const auto map = plate::WrenchMap::make(platform->description);
    REQUIRE(map);
    Eigen::MatrixXd values = c3d::scaled(file->analog, platform->channels);
    for (Eigen::Index i = 0; i < values.cols(); ++i)
      values.col(i).array() -=
          platform->baseline(i) *
          file->analog
              .channels[static_cast<std::size_t>(platform->channels[static_cast<std::size_t>(i)])]
              .scale;
    const plate::WrenchSeries wrench = (*map)(values);
    CHECK(wrench.col(2).minCoeff() > -15.0);
    CHECK(wrench.col(2).maxCoeff() > 500.0);
    CHECK(wrench.col(2).maxCoeff() < 850.0);
  }
}

TEST_CASE("the six variants of one recording give the same values", "[c3d]") {
  std::vector<c3d::File> files;
  for (const char* variant : {"pi", "pr", "si", "sr", "vi", "vr"}) {
    const auto path = test::reference_file("c3d/Eb015" + std::string(variant) + ".c3d");
    if (!path) {
      WARN("SKIPPED: reference recording Eb015" << variant << ".c3d is not here");
      return;
    }
    auto file = c3d::read(*path);
    REQUIRE(file);
    files.push_back(std::move(*file));
  }
  const c3d::File& first = files.front();
  CHECK(first.frame_count == 450);
  CHECK(first.point_rate == 50.0);
  CHECK(first.analog.rate == 200.0);
  // POINT:SCALE 0.08333 mm is one count of the integer files; the real ones hold the same counts.
  const double count = 0.0833333358168602e-3;
  std::vector<int> all_channels(first.analog.channels.size());
  for (std::size_t i = 0; i < all_channels.size(); ++i) all_channels[i] = static_cast<int>(i);
  for (const c3d::File& file : files) {
    REQUIRE(file.points.labels == first.points.labels);
    REQUIRE(file.points.xyz.size() == first.points.xyz.size());
    double worst = 0.0;
    std::size_t missing_differ = 0;
    for (std::size_t i = 0; i < file.points.xyz.size(); ++i) {
      const float a = file.points.xyz[i];
      const float b = first.points.xyz[i];
      if (std::isnan(a) != std::isnan(b)) ++missing_differ;
      if (!std::isnan(a) && !std::isnan(b))
        worst = std::max(worst, static_cast<double>(std::abs(a - b)));
    }
    CHECK(missing_differ == 0);
    CHECK(worst <= count);
    REQUIRE(file.analog.channels.size() == first.analog.channels.size());
    const Eigen::ArrayXXd difference =
        (c3d::scaled(file.analog, all_channels) - c3d::scaled(first.analog, all_channels))
            .array()
            .abs();
    for (Eigen::Index i = 0; i < difference.cols(); ++i)
      CHECK(difference.col(i).maxCoeff() <=
            std::abs(first.analog.channels[static_cast<std::size_t>(i)].scale));
    const auto platforms = c3d::force_platforms(file);
    REQUIRE(platforms);
    REQUIRE(platforms->size() == 2);
    CHECK((*platforms)[0]);
    CHECK((*platforms)[1]);
  }
}

TEST_CASE("a recording whose parameters run into its data is refused in one sentence", "[c3d]") {
  const auto path = test::reference_file("c3d/bad_parameter_section.c3d");
  if (!path) {
    WARN("SKIPPED: reference recording bad_parameter_section.c3d is not here");
    return;
  }
  const auto file = c3d::read(*path);
  REQUIRE_FALSE(file);
  CHECK(file.error().where.find("parameter section") != std::string::npos);
  CHECK_FALSE(file.error().what.empty());
  CHECK_FALSE(file.error().advice.empty());
  INFO(file.error().sentence());
  CHECK(file.error().what.find("LABELS") != std::string::npos);
}
