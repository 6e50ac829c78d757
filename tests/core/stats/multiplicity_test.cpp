// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/multiplicity.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using moundwork::stats::benjamini_hochberg;

namespace {
// Benjamini and Hochberg 1995, JRSS-B 57:289, p. 295; adjusted values Benjamini and Hochberg 1995,
// J. R. Stat. Soc. B 57:289.
constexpr std::array<double, 15> p{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344,
                                   .0459, .3240, .4262, .5719, .6528, .7590, 1.0};
constexpr std::array<double, 15> adjusted{.0015,   .003,    .0095,   .035625, .0603,
                                          .063857, .063857, .0645,   .0765,   .486,
                                          .581182, .714875, .753231, .813214, 1.0};
}  // namespace

TEST_CASE("Benjamini and Hochberg's own list", "[stats]") {
  const auto result = benjamini_hochberg(p);
  for (std::size_t i = 0; i < p.size(); ++i) CHECK(result[i] == Approx(adjusted[i]).margin(6e-7));
  CHECK(std::count_if(result.begin(), result.end(), [](double q) { return q <= 0.05; }) == 4);
}

TEST_CASE("The order of the tests does not matter and missing ones do not count", "[stats]") {
  std::vector<double> reversed(p.rbegin(), p.rend());
  reversed.insert(reversed.begin() + 7, std::numeric_limits<double>::quiet_NaN());
  const auto result = benjamini_hochberg(reversed);
  CHECK(std::isnan(result[7]));
  CHECK(result[15] == Approx(adjusted[0]).margin(6e-7));
  CHECK(result[12] == Approx(adjusted[3]).margin(6e-7));
  CHECK(benjamini_hochberg(std::vector<double>{}).empty());
  CHECK(benjamini_hochberg(std::vector<double>{0.03})[0] == 0.03);
}
