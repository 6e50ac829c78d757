// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>

#include "core/session/edit.h"
#include "core/session/fact.h"

using namespace moundwork::session;

TEST_CASE("one wording of edits for people", "[edits]") {
  const auto words = [](const Edit& edit) { return words_of(edit, {}); };
  Edit edit;
  edit.action = Action::move_event;
  edit.target = "lead_contact";
  edit.value = 12.34567;
  CHECK(words(edit) == "moved lead contact to 12.3457 s");
  edit.u = 0.002;
  CHECK(words(edit) == "moved lead contact to 12.3457 s ± 0.0020 s");
  edit = {};
  edit.action = Action::mark;
  edit.target = "release";
  edit.frame = 412.5;
  edit.landing_frame = 378;
  edit.rate = 239.76;
  CHECK(words(edit) ==
        "marked release at frame 412.5, landing at frame 378, 239.76 frames a second");
  edit = {};
  edit.action = Action::retest;
  edit.text = "0197-other-session";
  edit.target = "2026-05-01";
  CHECK(words(edit) == "named it a retest of 2026-05-01");
  edit.text.clear();
  CHECK(words(edit) == "named it a retest no more");
  edit = set_fact(Fact::mass, moundwork::Measured{45.0, 0.1});
  edit.id = "first";
  CHECK(words(edit) == "set mass to 45 kg");
  std::vector<Edit> list{edit};
  Edit undo = undo_of(edit);
  undo.id = "second";
  list.push_back(undo);
  CHECK(words_of(undo, list) == "took back: set mass to 45 kg");
  CHECK(words_of(undo_of(undo), list) == "brought back: set mass to 45 kg");
  // A list that another program wrote may name anything.
  list[0].action = Action::undo;
  list[0].undoes = "second";
  CHECK(words_of(list[1], list) == "took back a change that is not in the list");
  CHECK(words(undo_of(Edit{})) == "took back a change that is not in the list");
}

TEST_CASE("every action has a key of its own", "[edits]") {
  for (const Action action :
       {Action::move_event, Action::reset, Action::exclude, Action::include, Action::tag,
        Action::mark, Action::set_fact, Action::cue_order, Action::undo, Action::unknown})
    CHECK(action_from(key_of(action)) == action);
  CHECK(action_from("of a later version") == Action::unknown);
}
