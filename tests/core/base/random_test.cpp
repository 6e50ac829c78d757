// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/random.h"

#include <catch2/catch.hpp>
#include <cmath>

using moundwork::Random;

TEST_CASE("the engine is the one whose sequence the standard fixes") {
  std::mt19937_64 engine;
  engine.discard(9999);
  // C++ standard, [rand.predef]: the 10000th value of a default engine.
  CHECK(engine() == 9981545732273789042ULL);
}

TEST_CASE("one seed and stream give one sequence, another stream another") {
  Random one(7, 1);
  Random again(7, 1);
  Random other(7, 2);
  bool same = true;
  bool different = false;
  for (int i = 0; i < 100; ++i) {
    const double value = one.normal();
    same = same && value == again.normal();
    different = different || value != other.normal();
  }
  CHECK(same);
  CHECK(different);
}

TEST_CASE("distributions have the moments of their definitions") {
  Random random(11, 0);
  constexpr int n = 200000;
  double sum = 0.0;
  double square = 0.0;
  double fourth = 0.0;
  double wait = 0.0;
  int within = 0;
  for (int i = 0; i < n; ++i) {
    const double x = random.normal();
    sum += x;
    square += x * x;
    fourth += x * x * x * x;
    within += std::abs(x) < 1.959963985 ? 1 : 0;
    wait += random.exponential(0.25);
  }
  // Five standard errors of each estimate: 1, sqrt 2, sqrt 96 over sqrt n.
  const double root = std::sqrt(static_cast<double>(n));
  CHECK(std::abs(sum / n) < 5.0 / root);
  CHECK(std::abs(square / n - 1.0) < 5.0 * std::sqrt(2.0) / root);
  CHECK(std::abs(fourth / n - 3.0) < 5.0 * std::sqrt(96.0) / root);
  CHECK(within / static_cast<double>(n) == Approx(0.95).margin(5.0 * 0.218 / root));
  CHECK(wait / n == Approx(0.25).margin(5.0 * 0.25 / root));
  for (int i = 0; i < 1000; ++i) {
    const int die = random.integer(1, 6);
    REQUIRE(die >= 1);
    REQUIRE(die <= 6);
    const double cut = random.normal_within(0.0, 1.0, -0.5, 0.5);
    REQUIRE(std::abs(cut) <= 0.5);
  }
}
