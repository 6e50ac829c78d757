// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "core/relate/cue_order.h"
#include "core/relate/json.h"
#include "core/relate/support.h"
#include "core/relate/text.h"

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

// As drawn and given; the cue adds to the first quantity.
Pitches drawn_order(int athletes, int throws, int run, double added) {
  auto pitches = relate_support::invented(athletes, throws, 0.0, 25);
  for (std::size_t i = 0; i < pitches.rows.size(); ++i) {
    auto& row = pitches.rows[i];
    const int place = static_cast<int>(i) % throws;
    const auto order =
        draw_cue_order({"heel"}, throws, run, static_cast<std::uint64_t>(i) / throws + 1);
    row.cue = order->cue_at(static_cast<std::size_t>(place));
    row.drawn = moundwork::session::DrawnCue{1, throws, place, place / run, run, row.cue};
    if (!row.cue.empty()) row.quantities[0].value += added;
  }
  return pitches;
}

// Ball speed goes up and down slowly, so that neighbours are alike.
void make_neighbours_alike(Pitches& pitches) {
  for (auto& row : pitches.rows) row.ball_speed.value += 5.0 * std::sin(row.number / 3.0);
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

TEST_CASE("An order that was drawn throw by throw needs no reservation", "[relate]") {
  auto pitches = drawn_order(1, 24, 1, 30.0);
  make_neighbours_alike(pitches);
  const auto report = test_cue(pitches, "heel", {"braking_impulse"}, {});
  REQUIRE(report);
  CHECK(report->drawn);
  CHECK_FALSE(report->in_runs);
  const auto& speed = report->effects[0];
  CHECK(speed.neighbour_correlation > 0.6);
  CHECK(speed.reason.empty());
  CHECK(speed.difference.marked_pieces == 12);
  CHECK(report->effects[1].verdict == Verdict::shown);
  REQUIRE_FALSE(report->notes.empty());
  CHECK(holds(report->notes[0], "neighbouring pitches are alike in"));
  CHECK(holds(report->carry_over, "cannot be tested"));
}

TEST_CASE("Without a draw, likeness of neighbours is a reservation", "[relate]") {
  auto pitches = alternating(15.0);
  make_neighbours_alike(pitches);
  const auto report = test_cue(pitches, "sit back", {"braking_impulse"}, {});
  REQUIRE(report);
  CHECK_FALSE(report->drawn);
  const auto& speed = report->effects[0];
  CHECK(speed.verdict == Verdict::cannot_tell);
  CHECK(holds(speed.reason, "not drawn by chance"));
  CHECK(holds(speed.says, "cannot tell"));
  // What is not alike in itself keeps its verdict.
  CHECK(report->effects[1].verdict == Verdict::shown);
  CHECK(report->effects[1].reason.empty());
}

TEST_CASE("Drawn runs stay runs", "[relate]") {
  const auto report = test_cue(drawn_order(1, 24, 3, 60.0), "heel", {"braking_impulse"}, {});
  REQUIRE(report);
  CHECK(report->in_runs);
  const auto& target = report->effects[1];
  CHECK(target.difference.exact);
  CHECK(target.difference.permutations == 70);  // 8 over 4
  CHECK(target.difference.p == Approx(2.0 / 70.0));
  CHECK(target.verdict == Verdict::cannot_tell);  // of two that are tested, adjusted p 0.057
  CHECK(target.reason.empty());
  const auto json = to_json(*report);
  CHECK(json["drawn"] == true);
  CHECK(json["runs"]["with"] == 4);
  CHECK(json["runs"]["without"] == 4);
  CHECK(json["reason"].is_null());
  CHECK(json["neighbour_correlation"].is_number());
  CHECK(holds(to_text(*report, {}), "drawn by chance, in runs: 4 with the cue, 4 without"));
}

TEST_CASE("Under four runs of each kind nothing can be told, however large it is", "[relate]") {
  // Runs of five by turns, six of them, three with the cue.
  auto pitches = relate_support::invented(1, 30, 0.0, 26);
  for (auto& row : pitches.rows)
    if ((static_cast<int>(row.number) - 1) / 5 % 2 == 1) {
      row.cue = "heel";
      row.ball_speed.value += 20.0;
    }
  const auto report = test_cue(pitches, "heel", {}, {});
  REQUIRE(report);
  CHECK(report->in_runs);
  for (const auto& effect : report->effects) {
    CHECK(effect.verdict == Verdict::cannot_tell);
    CHECK(effect.difference.permutations == 20);  // 6 over 3
    CHECK(holds(effect.reason, "3 with it and 3 without"));
    CHECK(holds(effect.says, "at least 4 of each kind"));
  }
  CHECK(to_json(*report)["reason"] == report->effects[0].reason);
  // The same in six sessions: what a session does by itself is the same in all.
  auto sessions = relate_support::invented(6, 30, 0.0, 27);
  for (auto& row : sessions.rows)
    if (row.number > 10 && row.number <= 20) row.cue = "heel";
  const auto middle = test_cue(sessions, "heel", {}, {});
  REQUIRE(middle);
  CHECK(holds(middle->effects[0].reason, "in a session"));
  CHECK(middle->effects[0].verdict == Verdict::cannot_tell);
}

TEST_CASE("A pitch tagged otherwise counts as drawn, an order that was not kept to does not",
          "[relate]") {
  auto pitches = drawn_order(1, 24, 1, 30.0);
  const auto with_cue = [&](std::size_t from) {
    return std::find_if(pitches.rows.begin() + static_cast<std::ptrdiff_t>(from),
                        pitches.rows.end(), [](const Pitch& row) { return !row.cue.empty(); });
  };
  with_cue(0)->cue.clear();
  const auto report = test_cue(pitches, "heel", {"braking_impulse"}, {});
  REQUIRE(report);
  CHECK(report->drawn);
  CHECK(report->effects[0].difference.marked == 12);
  REQUIRE_FALSE(report->notes.empty());
  CHECK(holds(report->notes[0], "1 pitch is tagged otherwise"));
  for (int more = 0; more < 5; ++more) with_cue(0)->cue.clear();
  const auto left = test_cue(pitches, "heel", {"braking_impulse"}, {});
  REQUIRE(left);
  CHECK_FALSE(left->drawn);
  CHECK(left->effects[0].difference.marked == 6);
  REQUIRE_FALSE(left->notes.empty());
  CHECK(holds(left->notes[0], "not kept to"));
}

TEST_CASE("A cue that went with a pitch type is not taken for the type", "[relate]") {
  auto pitches = relate_support::invented(1, 24, 0.0, 28);
  for (auto& row : pitches.rows) {
    const bool odd = static_cast<int>(row.number) % 2 == 1;
    row.pitch_type = odd ? "fastball" : "change-up";
    if (odd) row.ball_speed.value += 5.0;
    // Nearly every fastball.
    if (odd != (row.number == 6.0 || row.number == 11.0)) row.cue = "heel";
  }
  const auto report = test_cue(pitches, "heel", {}, {});
  REQUIRE(report);
  CHECK(report->effects[0].difference.strata == 2);
  CHECK(report->effects[0].verdict != Verdict::shown);
  for (auto& row : pitches.rows) row.pitch_type.clear();
  const auto mixed = test_cue(pitches, "heel", {}, {});
  REQUIRE(mixed);
  CHECK(mixed->effects[0].verdict == Verdict::shown);
}

TEST_CASE("Without a target the cue is tested on what is tested", "[relate]") {
  auto pitches = alternating(15.0);
  pitches.quantities[1].tested = false;
  const auto report = test_cue(pitches, "sit back", {}, {});
  REQUIRE(report);
  CHECK(report->tests == 2);
  const auto named = test_cue(pitches, "sit back", {"stride_length"}, {});
  REQUIRE(named);
  CHECK(named->effects[1].quantity.key == "stride_length");
}
