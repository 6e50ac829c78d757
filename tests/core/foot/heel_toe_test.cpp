// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/heel_toe.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace moundwork;

TEST_CASE("a point's place along the foot is its projection on heel to toe", "[foot]") {
  const foot::HeelToeLine line({1.0, 2.0}, {1.0, 1.75});
  CHECK(line.percent(1.0, 2.0) == Approx(0.0).margin(1e-12));
  CHECK(line.percent(1.0, 1.75) == Approx(100.0));
  CHECK(line.percent(1.3, 1.875) == Approx(50.0));  // beside the line
  CHECK(line.percent(1.0, 2.05) == Approx(-20.0));  // behind the heel
  CHECK(std::isnan(line.percent(std::numeric_limits<double>::quiet_NaN(), 2.0)));
}
