// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue.h"

#include <catch2/catch.hpp>

#include "core/relate/support.h"

using namespace moundwork::relate;

namespace {

// Every other pitch cued, which adds to the first quantity and not to ball speed.
Pitches alternating(double added) {
  auto pitches = relate_support::invented(6, 20, 0.0, 21);
  for (auto& row : pitches.rows) {
    if (static_cast<int>(row.number) % 2 == 0) continue;
    row.cue = "sit back";
    row.quantities[0].value += added;
  }
  return pitches;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("A cue that moves its target and not the ball", "[relate]") {
  const auto report = test_cue(alternating(15.0), "sit back", {"braking_impulse"}, {});
  REQUIRE(report);
  REQUIRE(report->effects.size() == 2);
  const auto& speed = report->effects[0];
  const auto& target = report->effects[1];
  CHECK(speed.quantity.key == "ball_speed");
  CHECK(speed.verdict != Verdict::shown);
  CHECK(target.verdict == Verdict::shown);
  CHECK(target.difference.low < 15.0);
  CHECK(target.difference.high > 15.0);
  CHECK(target.difference.strata == 6);
  CHECK(holds(target.says, "With the cue \"sit back\", braking impulse was"));
  CHECK(holds(target.says, "N s more"));
  CHECK(holds(target.says, "60 pitches with it, 60 without"));
  CHECK_FALSE(holds(target.says, "cause"));
  CHECK(report->notes.empty());
}

TEST_CASE("A few cued pitches get cannot tell, with how many would do", "[relate]") {
  auto pitches = relate_support::invented(1, 6, 0.0, 22);
  pitches.rows[1].cue = pitches.rows[4].cue = "stay tall";
  const auto report = test_cue(pitches, "", {}, {});
  REQUIRE(report);
  CHECK(report->cue == "any");
  CHECK(report->effects.size() == 3);
  for (const auto& effect : report->effects) {
    CHECK(effect.verdict == Verdict::cannot_tell);
    // 2 ((1.96 + 0.84) / 0.5)^2 = 62.8 (Cohen's usual 64 is by t).
    CHECK(holds(effect.says, "about 63 pitches of each kind would do"));
  }
}

TEST_CASE("A cue that came only late cannot be told from drift", "[relate]") {
  auto pitches = relate_support::invented(3, 10, 0.0, 23);
  for (auto& row : pitches.rows)
    if (row.number > 5) row.cue = "late";
  const auto report = test_cue(pitches, "late", {}, {});
  REQUIRE(report);
  REQUIRE_FALSE(report->notes.empty());
  CHECK(holds(report->notes[0], "drift"));
}

TEST_CASE("Another cue belongs to neither side", "[relate]") {
  auto pitches = alternating(15.0);
  pitches.rows[1].cue = "something else";
  const auto report = test_cue(pitches, "sit back", {}, {});
  REQUIRE(report);
  CHECK(report->effects[0].difference.marked == 60);
  CHECK(report->effects[0].difference.others == 59);
}

TEST_CASE("Cues that cannot be tested are refused in words", "[relate]") {
  auto pitches = alternating(0.0);
  CHECK_FALSE(test_cue(pitches, "never given", {}, {}));
  CHECK_FALSE(test_cue(pitches, "sit back", {"no_such_quantity"}, {}));
  for (auto& row : pitches.rows) row.cue = "sit back";
  const auto all = test_cue(pitches, "sit back", {}, {});
  REQUIRE_FALSE(all);
  CHECK(holds(all.error().sentence(), "nothing to compare with"));
}

TEST_CASE("Blocks with one kind only leave nothing to tell", "[relate]") {
  auto pitches = relate_support::invented(2, 5, 0.0, 24);
  for (auto& row : pitches.rows)
    if (row.athlete == "A1") row.cue = "sit back";
  const auto report = test_cue(pitches, "sit back", {}, {});
  REQUIRE(report);
  CHECK(report->effects[0].verdict == Verdict::undefined);
  CHECK(holds(report->effects[0].says, "nothing can be told"));
}

TEST_CASE("What does not change within a block has nothing to tell", "[relate]") {
  auto pitches = alternating(0.0);
  for (auto& row : pitches.rows) row.quantities[1].value = row.athlete == "A1" ? 1.31 : 1.47;
  const auto report = test_cue(pitches, "sit back", {"stride_length"}, {});
  REQUIRE(report);
  CHECK(report->effects[1].verdict == Verdict::undefined);
  CHECK(holds(report->effects[1].says, "does not change within a block"));
}
