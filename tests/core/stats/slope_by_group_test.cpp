// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/slope_by_group.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork::stats;

namespace {
// As in tests/reference/relate_mixed.R; the groups of one row have no slope of their own.
const Groups groups{{0, 0, 0, 1, 1, 2, 3, 3, 3, 3, 4, 4, 5}, 6};
const Eigen::VectorXd x =
    (Eigen::VectorXd(13) << 1.0, 2.0, 4.0, 2.5, 3.5, 5.0, 0.5, 1.5, 2.5, 6.0, 3.0, 4.5, 2.0)
        .finished();
const Eigen::VectorXd y = (Eigen::VectorXd(13) << 38.1, 38.9, 39.6, 41.2, 41.0, 42.3, 36.0, 36.9,
                           37.1, 38.8, 42.9, 43.1, 40.2)
                              .finished();
}  // namespace

TEST_CASE("Each group left out in turn: R's lm", "[stats]") {
  const auto slope = slope_by_group(x, y, groups, 0.95);
  // tests/reference/relate_mixed.R, R 4.2.2.
  CHECK(slope.value == Approx(0.450754214729).epsilon(1e-10));
  CHECK(slope.u == Approx(0.0733606817064).epsilon(1e-10));
  CHECK(slope.df == 3.0);
  CHECK(slope.high - slope.value == Approx(3.18244630528 * 0.0733606817064).epsilon(1e-9));
}

TEST_CASE("One group with a slope is too few to leave one out", "[stats]") {
  CHECK(std::isnan(slope_by_group(x.head(3), y.head(3), {{0, 0, 0}, 1}, 0.95).value));
  CHECK(std::isnan(slope_by_group(x.head(3), y.head(3), {{0, 0, 1}, 2}, 0.95).value));
  CHECK(std::isnan(slope_by_group(x.head(2), y.head(2), {{0, 1}, 2}, 0.95).value));
}
