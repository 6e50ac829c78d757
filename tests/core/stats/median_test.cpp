// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/median.h"

#include <Eigen/Core>
#include <catch2/catch.hpp>
#include <vector>

using namespace moundwork;

TEST_CASE("the median is the middle value, of an even number the upper of the two", "[stats]") {
  CHECK(stats::median(std::vector<double>{3.0, 1.0, 2.0}) == 2.0);
  CHECK(stats::median(std::vector<double>{4.0, 1.0, 3.0, 2.0}) == 3.0);
  CHECK(stats::median(std::vector<double>{7.0}) == 7.0);
  const Eigen::ArrayXf values{{5.0F, 9.0F, -1.0F}};
  CHECK(stats::median(values) == 5.0F);
  CHECK(values(0) == 5.0F);  // asked for a copy's middle, what was given keeps its order
}
