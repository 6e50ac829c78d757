// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change_limit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace moundwork::relate;

TEST_CASE("One t for all limits, at the level that numbers judged together leave", "[relate]") {
  // Student's and the normal's quantiles of 0.975, 0.995 and 1 - 0.05 / 4 by SciPy 1.10.
  constexpr double infinite = std::numeric_limits<double>::infinity();
  CHECK(beyond_chance(0.95, 5) == Approx(2.5705818366147395).epsilon(1e-8));
  CHECK(beyond_chance(0.95, 8, 5) == Approx(3.3553873313333957).epsilon(1e-8));
  CHECK(beyond_chance(0.95, 7, 2) == Approx(2.8412442550807744).epsilon(1e-8));
  CHECK(beyond_chance(0.95, infinite, 2) == Approx(2.241402727604947).epsilon(1e-8));
  CHECK(std::isnan(beyond_chance(0.95, 0)));
}

TEST_CASE("Scatter is Welch's", "[relate]") {
  // 100, 104, 98, 102, 101 against 110, 118, 103, 112: SciPy's ttest_ind(equal_var=False) has p
  // 0.04520915356783661 at t 3, which is Student's at 3.63048175925 degrees of freedom.
  const LimitParts parts = scatter_of(std::sqrt(5.0), 5, std::sqrt(38.25), 4);
  CHECK(parts.scatter_df == Approx(3.63048175925).epsilon(1e-6));
  CHECK(9.75 / std::sqrt(parts.scatter) == Approx(3.0).epsilon(1e-9));
  CHECK(std::isnan(scatter_of(std::nan(""), 1, 2.0, 4).scatter));
  CHECK(std::isnan(scatter_of(0.0, 3, 0.0, 4).scatter));
}

TEST_CASE("The limit adds what it knows of scatter, measurement and days", "[relate]") {
  // By NumPy and SciPy 1.10, five numbers at once: scatter 4/10 + 9/12, u 0.4 and 0.5, eight
  // retested with a mean square of 6, 0.5 of it explained.
  LimitParts parts = scatter_of(2.0, 10, 3.0, 12);
  parts.measured = 0.16 + 0.25;
  CHECK(limit_of(parts, 0.95, 5) == Approx(3.48030895480437).epsilon(1e-9));
  parts.days = {8, 6.0, 0.5};
  CHECK(parts.days.typical_error() == Approx(std::sqrt(2.75)));
  CHECK(limit_of(parts, 0.95, 5) == Approx(8.604358384498582).epsilon(1e-9));
  // Retests that differ by hardly more than their own scatter still differ by that much.
  LimitParts calm = scatter_of(0.1, 10, 0.1, 12);
  calm.days = {8, 6.0, 6.5};
  CHECK(calm.days.typical_error() == 0.0);
  CHECK(limit_of(calm, 0.95, 5) == Approx(3.3553873313333957 * std::sqrt(6.0)).epsilon(1e-8));
  calm.days.athletes = least_retested - 1;
  CHECK(limit_of(calm, 0.95, 5) < 1.0);
  CHECK(std::isnan(limit_of({}, 0.95, 5)));
}
