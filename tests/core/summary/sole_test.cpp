// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/sole.h"

#include <algorithm>
#include <catch2/catch.hpp>

using namespace moundwork;
using session::FootLineSource;

TEST_CASE("A sole's outline is closed and reaches as far as its line's source says", "[summary]") {
  const auto reach = [](FootLineSource source) {
    const auto outline = summary::sole_outline(source);
    REQUIRE(outline.size() > 20);
    CHECK(outline.front().along == outline.back().along);
    CHECK(outline.front().inner == outline.back().inner);
    const auto [heel, toe] =
        std::minmax_element(outline.begin(), outline.end(),
                            [](const auto& a, const auto& b) { return a.along < b.along; });
    return std::pair{heel->along, toe->along};
  };
  // Markers are the sole's own ends; cutting corners takes less than 1 % off each.
  const auto [heel, toe] = reach(FootLineSource::markers);
  CHECK(heel == Approx(0.0).margin(0.01));
  CHECK(toe == Approx(1.0).margin(0.01));
  // The weight rests inside the sole, so the sole reaches beyond the line, by less than half.
  const auto [behind, before] = reach(FootLineSource::stances);
  CHECK(behind < -0.1);
  CHECK(behind > -0.5);
  CHECK(before > 1.1);
  CHECK(before < 1.5);
}
