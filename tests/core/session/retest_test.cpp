// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/retest.h"

#include <catch2/catch.hpp>

using namespace moundwork::session;

namespace {

RetestSide side(const std::string& id, const std::string& day) {
  RetestSide made{id + ".h5", id, day, {}};
  made.athlete.id = "A1";
  made.athlete.born = "2012-03-01";
  return made;
}

std::string refused(const RetestSide& session, const RetestSide& other, int days = 7) {
  const auto edit = retest_edit(session, other, days);
  REQUIRE_FALSE(edit);
  return edit.error().sentence();
}

bool holds(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("A retest is another session of one athlete soon before or after", "[edits]") {
  const auto monday = side("one", "2026-04-27");
  const auto edit = retest_edit(side("two", "2026-05-04"), monday);
  REQUIRE(edit);
  CHECK(edit->action == Action::retest);
  CHECK(edit->text == "one");
  CHECK(edit->target == "2026-04-27");
  CHECK(retest_edit(monday, side("two", "2026-05-04")));
  CHECK(retest_edit(side("two", "2026-04-27"), monday));

  const auto late = side("two", "2026-05-05");
  CHECK(holds(refused(late, monday), "8 days from one.h5"));
  CHECK(retest_edit(late, monday, 8));
  CHECK(holds(refused(monday, monday), "the same session"));
  auto other = side("two", "2026-05-04");
  other.athlete.id = "A2";
  CHECK(holds(refused(other, monday), "the same athlete"));
  other = side("two", "2026-05-04");
  other.athlete.born = "2009-03-01";
  CHECK(holds(refused(other, monday), "the same athlete"));
  auto nobody = side("two", "2026-05-04");
  auto nobody_else = monday;
  nobody.athlete = nobody_else.athlete = {};
  CHECK(holds(refused(nobody, nobody_else), "the same athlete"));
  CHECK(holds(refused(side("two", ""), monday), "no date"));
}

TEST_CASE("The last name of a retest that stands counts", "[edits]") {
  const auto named = [](const char* id, const char* of) {
    Edit edit;
    edit.id = id;
    edit.action = Action::retest;
    edit.text = of;
    return edit;
  };
  CHECK_FALSE(retest_of({}));
  std::vector<Edit> edits{named("a", "one")};
  CHECK(retest_of(edits) == "one");
  edits.push_back(named("b", "other"));
  CHECK(retest_of(edits) == "other");
  edits.push_back(undo_of(edits.back()));
  edits.back().id = "c";
  CHECK(retest_of(edits) == "one");
  edits.push_back(no_retest_edit());
  CHECK_FALSE(retest_of(edits));
}
