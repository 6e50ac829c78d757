// SPDX-License-Identifier: GPL-3.0-or-later
// Companions that version 0.1 of the program made, and how they become today's. What they hold is
// what its commands were given (support/version_0_1.h).
#include <catch2/catch.hpp>
#include <cstdio>
#include <iostream>

#include "core/marks/frame_marks.h"
#include "core/session/companion.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "support/comma_locale.h"
#include "support/folder.h"
#include "support/version_0_1.h"

using namespace moundwork;
using session::Action;
using session::Unidentified;

namespace {

std::vector<session::Edit> accepted_edits(const std::filesystem::path& path) {
  const auto edits = session::read_edits(path, Unidentified::accepted);
  REQUIRE(edits);
  return *edits;
}

void check_marks(const std::vector<session::Edit>& edits) {
  const auto first = marks::marks_of(edits, 25.272);
  REQUIRE(first.size() == 2);
  CHECK(first[0].mark == marks::BodyMark::greatest_trunk_stretch);
  CHECK(first[0].frame == 371.5);
  CHECK(first[0].contact_frame == 378.0);
  CHECK(first[1].mark == marks::BodyMark::release);
  CHECK(first[1].frame == 412.0);
  CHECK(first[1].rate == 240.0);
  const auto second = marks::marks_of(edits, 50.83);
  REQUIRE(second.size() == 2);
  CHECK(second[0].frame == 1390.25);
  CHECK(second[0].rate == 59.94);
  CHECK(second[1].contact_frame == 1377.5);
  CHECK(second[1].rate == 239.76);
}

}  // namespace

TEST_CASE("a list of edits of version 0.1 says what it said", "[edits][old]") {
  const support::Folder folder;
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  const auto edits = accepted_edits(path);
  REQUIRE(edits.size() == 13);
  CHECK(edits[0].action == Action::move_event);
  CHECK(edits[0].target == "release");
  CHECK(edits[0].value == 25.405);
  CHECK(edits[0].u == 0.002);
  CHECK(edits[0].who == "Ilse Brand");
  CHECK(edits[0].why == "seen on the video, frame 412");
  CHECK(edits[3].action == Action::undo);
  CHECK(edits[3].undoes == edits[2].id);
  CHECK(edits[4].undoes == edits[3].id);
  CHECK(edits[6].undoes == edits[5].id);
  for (std::size_t i = 0; i < edits.size(); ++i)
    for (std::size_t k = 0; k < i; ++k) CHECK(edits[i].id != edits[k].id);
  const auto first = session::state_of(edits, 25.272);
  CHECK(first.tags.at("cue") == "heel, then hip");
  REQUIRE(first.moved.size() == 1);
  const auto second = session::state_of(edits, 50.83);
  CHECK(second.tags.empty());
  CHECK_FALSE(second.excluded);
  check_marks(edits);
  // Read again it is the same list.
  const auto again = accepted_edits(path);
  for (std::size_t i = 0; i < edits.size(); ++i) CHECK(again[i].id == edits[i].id);
}

TEST_CASE("marks are read and written where the decimal sign is a comma", "[edits][old]") {
  const support::Folder folder;
  const support::CommaLocale comma(folder.path());
  if (!comma.made()) {
    std::cerr << "SKIPPED: there is no localedef with de_DE to read marks under\n";
    return;
  }
  char written[16];
  REQUIRE(std::snprintf(written, sizeof written, "%.1f", 1.5) == 3);
  REQUIRE(std::string(written) == "1,5");
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  check_marks(accepted_edits(path));
  REQUIRE(session::claim_companion(path));
  REQUIRE(session::append_edit(
      path, marks::to_edit({marks::BodyMark::release, 413.5, 378.25, 239.76}, 25.272)));
  const auto edits = session::read_edits(path);
  REQUIRE(edits);
  const auto marks = marks::marks_of(*edits, 25.272);
  REQUIRE(marks.size() == 2);
  CHECK(marks[1].frame == 413.5);
  CHECK(marks[1].contact_frame == 378.25);
  CHECK(marks[1].rate == 239.76);
}

TEST_CASE("a companion of version 0.1 is not read unasked, and grows only when it is claimed",
          "[old]") {
  const support::Folder folder;
  const auto path = folder / "two-pitches.h5";
  support::copy_version_0_1(path);
  const auto companion = session::companion_path(path);
  const std::string before = support::bytes_of(companion);
  CHECK(session::companion_of(path) == session::Companion::unidentified);
  CHECK_FALSE(session::read_results(path));
  CHECK_FALSE(session::read_edits(path));
  session::Edit tag;
  tag.action = Action::tag;
  tag.target = "cue";
  CHECK_FALSE(session::append_edit(path, tag));
  CHECK(support::bytes_of(companion) == before);

  REQUIRE(session::claim_companion(path));
  CHECK(session::companion_of(path) == session::Companion::own);
  CHECK_FALSE(std::filesystem::exists(session::kept_companion_path(path)));
  const auto old = session::read_edits(path);
  REQUIRE(old);
  const std::string claimed = support::bytes_of(companion);

  // In today's form from the first change on, the old one kept.
  const auto undone = session::append_edit(path, session::undo_of(old->front()));
  REQUIRE(undone);
  CHECK(support::bytes_of(session::kept_companion_path(path)) == claimed);
  const auto now = session::read_edits(path);
  REQUIRE(now);
  REQUIRE(now->size() == old->size() + 1);
  for (std::size_t i = 0; i < old->size(); ++i) CHECK((*now)[i].id == (*old)[i].id);
  CHECK(session::state_of(*now, 25.272).moved.empty());
  check_marks(*now);
  const auto results = session::read_results(path);
  REQUIRE(results);
  CHECK(results->throws.size() == 2);
}
