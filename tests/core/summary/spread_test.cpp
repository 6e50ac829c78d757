// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/spread.h"

#include <catch2/catch.hpp>

using namespace moundwork;

TEST_CASE("spread: percentiles of many, the middle of few, nothing of two", "[summary]") {
  std::vector<double> many;
  for (int i = 31; i < 51; ++i) many.push_back(i);
  // NumPy: percentile(range(31, 51), [5, 10, 25, 50, 75, 90, 95]).
  const std::vector<std::pair<int, double>> expected{
      {5, 31.95}, {10, 32.9}, {25, 35.75}, {50, 40.5}, {75, 45.25}, {90, 48.1}, {95, 49.05}};
  const auto spread = summary::spread_of(many);
  CHECK(spread.athletes == 20);
  REQUIRE(spread.percentiles.size() == expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    CHECK(spread.percentiles[i].first == expected[i].first);
    CHECK(spread.percentiles[i].second == Approx(expected[i].second));
  }
  const auto few = summary::spread_of({1.0, 2.0, 6.0});
  CHECK(few.percentiles.empty());
  REQUIRE(few.middle);
  CHECK(few.middle->lowest == 1.0);
  CHECK(few.middle->median == 2.0);
  CHECK(few.middle->highest == 6.0);
  CHECK_FALSE(summary::spread_of({1.0, 2.0}).middle);
  CHECK(summary::spread_of({}).athletes == 0);
}
