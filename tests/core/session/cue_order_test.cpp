// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/cue_order.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace moundwork::session;

namespace {

CueOrder example() {
  return {{"heel", "stay tall"}, {0, 0, 2, 2, 1, 1, 0}, 2, 18446744073709551615u, 12.5};
}

Edit warm_up(double contact) {
  Edit edit;
  edit.throw_contact = contact;
  edit.action = Action::tag;
  edit.target = "warm_up";
  edit.text = "yes";
  return edit;
}

constexpr double to_come = std::numeric_limits<double>::infinity();

}  // namespace

TEST_CASE("an order of cues is the same after an edit has held it", "[edits]") {
  const CueOrder order = example();
  const Edit edit = keep_cue_order(order);
  CHECK(edit.action == Action::cue_order);
  const auto kept = kept_cue_order(edit);
  REQUIRE(kept);
  CHECK(kept->cues == order.cues);
  CHECK(kept->kinds == order.kinds);
  CHECK(kept->run == 2);
  CHECK(kept->seed == order.seed);
  CHECK(kept->begins == 12.5);
  CHECK(kept->cue_at(2) == "stay tall");
  CHECK(kept->cue_at(6).empty());
  CHECK(words_of(edit, {}) ==
        "drew the order of cues for 7 throws by chance: heel, stay tall or none");
}

TEST_CASE("what holds no order of cues says nothing", "[edits]") {
  Edit edit = keep_cue_order(example());
  for (const char* text : {"", "2", "2 7", "2 7 --3 heel;tall", "0 7 --1 heel", "x 7 --1 heel",
                           "2 7 --0 heel", "2 7 -a heel", "2 7  heel"}) {
    CAPTURE(text);
    edit.text = text;
    CHECK_FALSE(kept_cue_order(edit));
    CHECK_FALSE(drawn_cues(std::vector<Edit>{edit}, std::vector<double>{20.0})[0]);
  }
  edit = keep_cue_order(example());
  edit.action = Action::tag;
  CHECK_FALSE(kept_cue_order(edit));
}

TEST_CASE("throws take the places of an order from its begin on, warm-ups none", "[edits]") {
  std::vector<Edit> edits{keep_cue_order(example()), warm_up(30.0)};
  edits[0].id = "order";
  const std::vector<double> contacts{5.0, 20.0, 30.0, 40.0, 50.0, to_come};
  auto drawn = drawn_cues(edits, contacts);
  CHECK_FALSE(drawn[0]);
  REQUIRE(drawn[1]);
  CHECK(drawn[1]->place == 0);
  CHECK_FALSE(drawn[2]);
  CHECK(drawn[3]->place == 1);
  CHECK(drawn[4]->cue == "stay tall");
  CHECK(drawn[4]->run == 1);
  REQUIRE(drawn[5]);
  CHECK(drawn[5]->place == 3);
  CHECK(drawn[5]->throws == 7);

  // A second order takes the throws that come after its begin.
  edits.push_back(keep_cue_order({{"slow"}, {1, 0}, 1, 3, 45.0}));
  drawn = drawn_cues(edits, contacts);
  CHECK(drawn[3]->order == 1);
  CHECK(drawn[4]->order == 2);
  CHECK(drawn[4]->cue == "slow");
  CHECK(drawn[5]->cue.empty());
  const std::vector<double> more{20.0, 50.0, 60.0, 70.0};
  CHECK_FALSE(drawn_cues(edits, more)[3]);  // it has ended

  edits.push_back(undo_of(edits[0]));
  CHECK_FALSE(drawn_cues(edits, contacts)[1]);
}
