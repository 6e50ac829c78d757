// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/fact.h"

#include <catch2/catch.hpp>

#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::session;

namespace {

Edit given(Edit edit) {
  edit.id = new_edit_id();
  return edit;
}

}  // namespace

TEST_CASE("a session's facts are as its edits have them, the file as it was recorded", "[facts]") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  {
    auto writer = Writer::create(path, support::example_session());
    REQUIRE(writer);
    REQUIRE(writer->close());
  }
  REQUIRE(append_edit(path, set_fact(Fact::mass, Measured{45.0, 0.2})));
  REQUIRE(append_edit(path, set_fact(Fact::throws, std::string("right"))));
  REQUIRE(append_edit(path, set_fact(Fact::name, std::string("Mara Quince"))));
  REQUIRE(append_edit(path, set_fact(Fact::athlete, std::string("A-02"))));
  REQUIRE(append_edit(path, set_fact(Fact::born, std::string("2005-05-06"))));
  REQUIRE(append_edit(path, set_fact(Fact::temperature, Measured{31.0, 1.0})));
  REQUIRE(append_edit(path, set_fact(Fact::pressure, Measured{98000.0, 500.0})));
  REQUIRE(append_edit(path, set_fact(Fact::humidity, Measured{0.8, 0.05})));
  const auto reader = Reader::open(path);
  REQUIRE(reader);
  const Session& now = reader->session();
  CHECK(now.athlete.mass.value == 45.0);
  CHECK(now.athlete.mass.u == 0.2);
  CHECK(now.athlete.throws == Hand::right);
  CHECK(now.athlete.name == "Mara Quince");
  CHECK(now.athlete.id == "A-02");
  CHECK(now.athlete.born == "2005-05-06");
  CHECK(now.conditions.temperature.value == 31.0);
  CHECK(now.conditions.pressure.value == 98000.0);
  CHECK(now.conditions.relative_humidity.value == 0.8);
  CHECK(now.athlete.height.value == 1.78);
  CHECK(reader->as_recorded().athlete.mass.value == 71.5);
  CHECK(reader->as_recorded().athlete.throws == Hand::left);

  // Undone it is as recorded.
  const auto edits = read_edits(path);
  REQUIRE(edits);
  REQUIRE(append_edit(path, undo_of(edits->front())));
  CHECK(Reader::open(path)->session().athlete.mass.value == 71.5);
}

TEST_CASE("a guessed foot line follows the hand and the height, a measured one stays", "[facts]") {
  Session session = support::example_session();
  const double length = 0.152 * session.athlete.height.value;  // Drillis and Contini 1966
  const Eigen::Vector3d middle(0.05, 0.0, 0.0);
  const Eigen::Vector3d half(0.0, 0.5 * length, 0.0);
  session.foot_line = FootLine{middle - half, middle + half, 0.05, FootLineSource::foot_length};
  const std::vector<Edit> edits{given(set_fact(Fact::throws, std::string("right"))),
                                given(set_fact(Fact::height, Measured{1.5, 0.005}))};
  apply_facts(edits, session);
  CHECK(session.foot_line->heel.y() == Approx(0.5 * 0.152 * 1.5));
  CHECK(session.foot_line->toe.y() == Approx(-0.5 * 0.152 * 1.5));
  CHECK(session.foot_line->heel.x() == Approx(0.05));

  // Where it was put half a breadth ahead of the rubber, that follows too: 0.36 of the length.
  Session ahead = support::example_session();
  const Eigen::Vector3d before(0.18 * length, 0.0, 0.0);
  ahead.foot_line = FootLine{before - half, before + half, 0.05, FootLineSource::foot_length};
  apply_facts(edits, ahead);
  CHECK(ahead.foot_line->heel.x() == Approx(0.18 * 0.152 * 1.5));

  Session measured = support::example_session();
  const FootLine line = *measured.foot_line;
  apply_facts(edits, measured);
  CHECK(measured.foot_line->heel == line.heel);
  CHECK(measured.foot_line->toe == line.toe);
}

TEST_CASE("a share that was put right is said in percent", "[facts]") {
  const auto edit = set_fact(Fact::humidity, Measured{0.9, 0.05});
  CHECK(words_of(edit, {}) == "set humidity to 90 %");
}

TEST_CASE("results made before a fact was put right are told from those made with it", "[facts]") {
  std::vector<Edit> edits{given(set_fact(Fact::mass, Measured{45.0, 0.2}))};
  ResultSet results;
  CHECK_FALSE(facts_in(results, edits));
  results.edits_known = 1;
  CHECK(facts_in(results, edits));
  Edit tag;
  tag.action = Action::tag;
  edits.push_back(given(tag));
  CHECK(facts_in(results, edits));
  edits.push_back(given(undo_of(edits[1])));
  CHECK(facts_in(results, edits));
  edits.push_back(given(undo_of(edits[0])));
  CHECK_FALSE(facts_in(results, edits));
  results.edits_known = 4;
  CHECK(facts_in(results, edits));
  edits.push_back(given(undo_of(edits[3])));
  CHECK_FALSE(facts_in(results, edits));
}
