// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/power.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork::stats;

TEST_CASE("Pairs needed for a correlation", "[stats]") {
  // Two-sided 5 %, power 80 %: the usual table of this formula (from memory: Hulley et al.,
  // Designing Clinical Research, appendix 6C).
  CHECK(pairs_for_correlation(0.1, {}) == 783.0);
  CHECK(pairs_for_correlation(0.2, {}) == 194.0);
  CHECK(pairs_for_correlation(0.3, {}) == 85.0);
  CHECK(pairs_for_correlation(-0.3, {}) == 85.0);
}

TEST_CASE("The smallest correlation that some pairs can show", "[stats]") {
  // The inverse: at 85 pairs it lies just below 0.3, at 84 just above.
  CHECK(smallest_detectable_correlation(85.0, {}) < 0.3);
  CHECK(smallest_detectable_correlation(84.0, {}) > 0.3);
  CHECK(std::isnan(smallest_detectable_correlation(3.0, {})));
  CHECK(smallest_detectable_correlation(24.0, {.alpha = 0.05, .power = 0.9}) >
        smallest_detectable_correlation(24.0, {.alpha = 0.05, .power = 0.8}));
}
