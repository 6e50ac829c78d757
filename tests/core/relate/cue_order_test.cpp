// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue_order.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>

using namespace moundwork;
using namespace moundwork::relate;

TEST_CASE("An order has each kind as often as the others, to within one run", "[relate]") {
  for (const int throws : {2, 23, 24, 30, 150})
    for (const int run : {1, 3, 5})
      for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const auto order = draw_cue_order({"heel", "tall"}, throws, run, seed);
        if (throws / run + (throws % run == 0 ? 0 : 1) < 3) {
          CHECK_FALSE(order);
          continue;
        }
        REQUIRE(order);
        REQUIRE(order->kinds.size() == static_cast<std::size_t>(throws));
        std::map<int, int> runs{{0, 0}, {1, 0}, {2, 0}};
        for (int i = 0; i < throws; ++i) {
          const auto kind = order->kinds[static_cast<std::size_t>(i)];
          if (i % run == 0)
            ++runs[kind];
          else
            CHECK(kind == order->kinds[static_cast<std::size_t>(i - 1)]);
        }
        const auto [least, most] = std::minmax({runs[0], runs[1], runs[2]});
        CHECK(most - least <= 1);
        CHECK(fewest_runs_of_a_kind(*order) == least);
      }
}

TEST_CASE("Every balanced order is as likely as any other", "[relate]") {
  // Two kinds of two throws each: six orders. 6,000 draws give 1,000 of each with a standard
  // deviation of 29; five of them are allowed.
  std::map<std::vector<int>, int> counts;
  for (std::uint64_t seed = 0; seed < 6000; ++seed) {
    const auto order = draw_cue_order({"heel"}, 4, 1, seed);
    REQUIRE(order);
    ++counts[order->kinds];
  }
  CHECK(counts.size() == 6);
  for (const auto& [kinds, count] : counts) CHECK(std::abs(count - 1000) < 145);
}

TEST_CASE("A seed draws one order", "[relate]") {
  const auto once = draw_cue_order({"heel"}, 24, 1, 7);
  const auto again = draw_cue_order({" heel "}, 24, 1, 7);
  const auto other = draw_cue_order({"heel"}, 24, 1, 8);
  REQUIRE(once);
  REQUIRE(again);
  REQUIRE(other);
  CHECK(once->kinds == again->kinds);
  CHECK(once->cues == again->cues);
  CHECK(once->kinds != other->kinds);
}

TEST_CASE("Orders that cannot be drawn are refused in words", "[relate]") {
  CHECK_FALSE(draw_cue_order({}, 24, 1, 1));
  CHECK_FALSE(draw_cue_order({""}, 24, 1, 1));
  CHECK_FALSE(draw_cue_order({"a;b"}, 24, 1, 1));
  CHECK_FALSE(draw_cue_order({"heel", "heel"}, 24, 1, 1));
  CHECK_FALSE(draw_cue_order(std::vector<std::string>(10, "heel"), 24, 1, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, 1, 1, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, 151, 1, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, -3, 1, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, 24, 0, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, 24, 24, 1));
  CHECK_FALSE(draw_cue_order({"heel"}, 24, 2147483647, 1));
  const auto few = draw_cue_order({"heel", "tall"}, 24, 12, 1);
  REQUIRE_FALSE(few);
  CHECK(few.error().sentence().find("24 throws in runs of 12 for 3 kinds") != std::string::npos);
}
