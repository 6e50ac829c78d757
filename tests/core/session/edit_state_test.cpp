// SPDX-License-Identifier: GPL-3.0-or-later
// The expected states follow from the words of docs/files.md, "Edits".
#include "core/session/edit_state.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/session/edit_list.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using session::Edit;
using session::state_of;

namespace {

constexpr double contact = 20.0;

Edit edit(const std::string& action, const std::string& target = {}, double value = 0.0,
          const std::string& text = {}, double at = contact) {
  Edit one;
  one.id = session::new_edit_id();
  one.when = "2026-03-01T10:00:00Z";
  one.who = "coach";
  one.why = "video";
  one.throw_contact = at;
  one.action = session::action_from(action);
  one.target = target;
  one.value = value;
  one.text = text;
  return one;
}

Edit moved(const std::string& event, double time) { return edit("move_event", event, time); }

}  // namespace

TEST_CASE("without edits a throw is as found", "[edits]") {
  const auto state = state_of({}, contact);
  CHECK(state.moved.empty());
  CHECK_FALSE(state.excluded);
  CHECK(state.tags.empty());
}

TEST_CASE("the last move of an event counts, with who, when, why and how sure", "[edits]") {
  std::vector<Edit> edits{moved("release", 20.14), moved("drive_peak", 19.8),
                          moved("release", 20.15)};
  edits[2].u = 0.002;
  const auto state = state_of(edits, contact);
  REQUIRE(state.moved.size() == 2);
  CHECK(state.moved[0].event == "drive_peak");
  CHECK(state.moved[0].u == 0.0);
  CHECK(state.moved[1].event == "release");
  CHECK(state.moved[1].time == 20.15);
  CHECK(state.moved[1].u == 0.002);
  CHECK(state.moved[1].who == "coach");
  CHECK(state.moved[1].when == "2026-03-01T10:00:00Z");
  CHECK(state.moved[1].why == "video");
}

TEST_CASE("edits of another throw say nothing; a contact found elsewhere by little is the same",
          "[edits]") {
  const std::vector<Edit> edits{edit("exclude", "", 0.0, "", 21.5),
                                edit("tag", "cue", 0.0, "stay tall", 20.1)};
  const auto state = state_of(edits, contact);
  CHECK_FALSE(state.excluded);
  CHECK(state.tags.at("cue") == "stay tall");
  CHECK(state_of(edits, 21.6).excluded);
  CHECK(state_of({edits.data(), 1}, std::nan("")).excluded == std::nullopt);
}

TEST_CASE("reset puts one event or all back, and nothing else", "[edits]") {
  std::vector<Edit> edits{moved("release", 20.14), moved("drive_peak", 19.8), edit("exclude"),
                          edit("reset", "release")};
  CHECK(state_of(edits, contact).moved.size() == 1);
  edits.push_back(edit("reset"));
  CHECK(state_of(edits, contact).moved.empty());
  CHECK(state_of(edits, contact).excluded);
  edits.push_back(moved("release", 20.16));
  CHECK(state_of(edits, contact).moved.size() == 1);
}

TEST_CASE("include takes an exclusion back, an empty tag takes a tag away", "[edits]") {
  const std::vector<Edit> edits{edit("exclude"), edit("include"), edit("tag", "cue", 0.0, "heel"),
                                edit("tag", "cue"), edit("tag", "pitch type", 0.0, "curve")};
  const auto state = state_of(edits, contact);
  CHECK_FALSE(state.excluded);
  CHECK(state.tags.size() == 1);
  CHECK(state.tags.at("pitch type") == "curve");
}

TEST_CASE("undo takes back, undoing the undo brings again", "[edits]") {
  std::vector<Edit> edits{moved("release", 20.14), moved("release", 20.15)};
  const auto undo = [&] {
    const auto row = session::place_to_undo(edits);
    REQUIRE(row);
    edits.push_back(session::undo_of(edits[*row]));
    edits.back().id = session::new_edit_id();
  };
  const auto redo = [&] {
    const auto row = session::place_to_redo(edits);
    REQUIRE(row);
    edits.push_back(session::undo_of(edits[*row]));
    edits.back().id = session::new_edit_id();
  };
  const auto release = [&] {
    const auto state = state_of(edits, contact);
    return state.moved.empty() ? 0.0 : state.moved.front().time;
  };
  CHECK(release() == 20.15);
  CHECK_FALSE(session::place_to_redo(edits));
  undo();
  CHECK(release() == 20.14);
  undo();
  CHECK(release() == 0.0);
  CHECK_FALSE(session::place_to_undo(edits));
  redo();
  CHECK(release() == 20.14);
  redo();
  CHECK(release() == 20.15);
  CHECK_FALSE(session::place_to_redo(edits));
  undo();
  CHECK(release() == 20.14);
  edits.push_back(moved("release", 20.17));
  CHECK_FALSE(session::place_to_redo(edits));
  CHECK(release() == 20.17);
}

TEST_CASE("an undo of no earlier edit says nothing", "[edits]") {
  std::vector<Edit> edits{edit("exclude"), edit("undo"), edit("tag", "cue", 0.0, "heel")};
  for (const std::string& undone :
       {std::string(), std::string("no such edit"), edits[1].id, edits[2].id}) {
    edits[1].undoes = undone;
    CHECK(state_of(edits, contact).excluded);
    CHECK(state_of(edits, contact).tags.size() == 1);
  }
}

TEST_CASE("results made before a move are told from those made with it", "[edits]") {
  session::ResultThrow results;
  results.events = {{"release", {20.14, 0.001}, "s"}};
  const std::vector<Edit> edits{moved("release", 20.15)};
  CHECK(session::moves_in(results, {}));
  CHECK_FALSE(session::moves_in(results, state_of(edits, contact)));
  results.events[0].measured.value = 20.15;
  results.flags = {{"moved_by_hand", "release moved from 20.1400 s to 20.1500 s"}};
  CHECK(session::moves_in(results, state_of(edits, contact)));
  CHECK_FALSE(session::moves_in(results, {}));
  const std::vector<Edit> farther{moved("release", 20.16)};
  CHECK_FALSE(session::moves_in(results, state_of(farther, contact)));
  results.flags = {{"move_not_used", "release was put at 99 s", "release"}};
  CHECK(session::moves_in(results, state_of(farther, contact)));
}

TEST_CASE("an edit's uncertainty is kept; what does not fit is refused whole", "[edits]") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  auto writer = session::Writer::create(path, support::example_session());
  REQUIRE(writer);
  REQUIRE(writer->close());
  Edit release = moved("release", 20.14);
  release.u = 0.002;
  REQUIRE(session::append_edit(path, release));
  release.why = std::string(300, 'x');
  const auto refused = session::append_edit(path, release);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("300 bytes, 255 fit") != std::string::npos);
  const auto edits = session::read_edits(path);
  REQUIRE(edits);
  REQUIRE(edits->size() == 1);
  CHECK(edits->front().u == 0.002);
}
