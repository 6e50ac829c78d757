// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/session_input.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/relate/questions.h"
#include "core/relate/shown.h"
#include "core/session/cue_order.h"
#include "core/session/edit_list.h"
#include "core/session/results.h"
#include "core/session/writer.h"
#include "support/folder.h"
#include "support/session_example.h"

using namespace moundwork;
using namespace moundwork::relate;

namespace {

AnalysedSession example(const std::string& id, const std::string& started) {
  AnalysedSession session;
  session.file = id + ".h5";
  session.id = id;
  session.started = started;
  session.athlete.id = "A1";
  session.athlete.mass = {88.0, 0.1};
  session.results.made = "2026-05-02T09:00:00Z";
  for (int number = 1; number <= 3; ++number) {
    session::ResultThrow one;
    one.number = number;
    one.contact = session_time(20.0 * number);
    one.quantities = {{"ball_speed", {38.0 + number, 0.2}, "m/s"},
                      {"braking_impulse", {150.0 + number, 3.0}, "N s"},
                      {"stride_length", {}, "m"}};
    session.results.throws.push_back(one);
  }
  return session;
}

session::Edit edit(double contact, session::Action action, const std::string& target,
                   const std::string& text) {
  session::Edit one;
  one.throw_contact = contact;
  one.action = action;
  one.target = target;
  one.text = text;
  return one;
}

}  // namespace

TEST_CASE("Throws of analysed sessions become pitches with their uncertainties", "[relate]") {
  const auto pitches = pitches_from_sessions({example("s1", "2026-05-01T10:00:00")}, {});
  REQUIRE(pitches);
  // Stride length is known for no throw, so it is not a quantity to test.
  REQUIRE(pitches->quantities.size() == 1);
  CHECK(pitches->quantities[0].key == "braking_impulse");
  CHECK(pitches->quantities[0].unit == "N s");
  REQUIRE(pitches->rows.size() == 3);
  CHECK(pitches->rows[1].athlete == "A1");
  CHECK(pitches->rows[1].session == "2026-05-01");
  CHECK(pitches->rows[1].number == 2.0);
  CHECK(pitches->rows[1].mass == 88.0);
  CHECK(pitches->rows[1].ball_speed.value == 40.0);
  CHECK(pitches->rows[1].ball_speed.u == 0.2);
  CHECK(pitches->rows[1].quantities[0].u == 3.0);
}

TEST_CASE("Tags and exclusions are the last word of the coach", "[relate]") {
  auto session = example("s1", "2026-05-01T10:00:00");
  session.edits = {edit(20.0, session::Action::tag, "cue", "sit back"),
                   edit(20.0, session::Action::tag, "cue", "stay tall"),
                   edit(40.01, session::Action::exclude, "", ""),
                   edit(60.0, session::Action::exclude, "", ""),
                   edit(60.0, session::Action::include, "", ""),
                   edit(60.0, session::Action::tag, "block", "b")};
  const auto pitches = pitches_from_sessions({session}, {"braking_impulse"});
  REQUIRE(pitches);
  REQUIRE(pitches->rows.size() == 2);
  CHECK(pitches->rows[0].cue == "stay tall");
  CHECK(pitches->rows[1].number == 3.0);
  CHECK(pitches->rows[1].block == "b");
  REQUIRE(pitches->notes.size() == 1);
  CHECK(pitches->notes[0].find("1 throw left out") != std::string::npos);
}

TEST_CASE("A drawn order is known of each pitch, also where another was left out", "[relate]") {
  auto session = example("s1", "2026-05-01T10:00:00");
  session.edits = {session::keep_cue_order({{"heel"}, {1, 0, 1}, 1, 5, 0.0}),
                   edit(20.0, session::Action::exclude, "", ""),
                   edit(60.0, session::Action::tag, "cue", "heel")};
  const auto pitches = pitches_from_sessions({session}, {"braking_impulse"});
  REQUIRE(pitches);
  REQUIRE(pitches->rows.size() == 2);
  REQUIRE(pitches->rows[0].drawn);
  CHECK(pitches->rows[0].drawn->place == 1);
  CHECK(pitches->rows[0].drawn->cue.empty());
  REQUIRE(pitches->rows[1].drawn);
  CHECK(pitches->rows[1].drawn->cue == "heel");
}

TEST_CASE("Warm-ups are left out and counted apart from what was taken out by hand", "[relate]") {
  auto session = example("s1", "2026-05-01T10:00:00");
  session.edits = {edit(20.0, session::Action::tag, "warm_up", "yes"),
                   edit(40.0, session::Action::tag, "warm_up", "no"),
                   edit(60.0, session::Action::exclude, "", "")};
  const auto pitches = pitches_from_sessions({session}, {"braking_impulse"});
  REQUIRE(pitches);
  REQUIRE(pitches->rows.size() == 1);
  CHECK(pitches->rows[0].number == 2.0);
  REQUIRE(pitches->notes.size() == 2);
  CHECK(pitches->notes[1].find("1 throw left out as a warm-up") != std::string::npos);
}

TEST_CASE("What is told of a throw says with what it is compared", "[relate][strata]") {
  auto session = example("s1", "2026-05-01T10:00:00Z");
  session.athlete.born = "2012-05-02";
  session.athlete.mass = {51.0, 0.1};
  session.athlete.height = {1.58, 0.01};
  session.edits = {edit(20.0, session::Action::tag, "pitch_type", "change-up"),
                   edit(20.0, session::Action::tag, "effort", "9/10"),
                   edit(40.0, session::Action::tag, "delivery", "stretch"),
                   edit(40.0, session::Action::tag, "ball", "170 g")};
  const auto pitches = pitches_from_sessions({session}, {});
  REQUIRE(pitches);
  const Pitch& first = pitches->rows[0];
  CHECK(first.pitch_type == "change-up");
  CHECK(first.effort == Approx(0.9));
  CHECK(first.ball.empty());
  // The day before the fourteenth birthday.
  CHECK(first.age == 13.0);
  CHECK(first.height == 1.58);
  CHECK(pitches->rows[1].delivery == "stretch");
  CHECK_FALSE(pitches->rows[1].ball.empty());
  CHECK(std::isnan(pitches->rows[1].effort));
  // Of those that nobody named, one a question is tested.
  for (const Quantity& quantity : pitches->quantities)
    CHECK(quantity.tested == (question_of(quantity.key) != nullptr));
  const auto named = pitches_from_sessions({session}, {"braking_impulse"});
  REQUIRE(named);
  CHECK(named->quantities[0].tested);
}

TEST_CASE("What a session's throws share of u goes with each value, all of u where nobody noted it",
          "[relate]") {
  auto session = example("s1", "2026-05-01T10:00:00");
  session.results.throws[0].quantities[1].shared_u = 2.0;
  const auto pitches = pitches_from_sessions({session}, {"braking_impulse"});
  REQUIRE(pitches);
  CHECK(pitches->rows[0].shared_u == std::vector<double>{0.2, 2.0});
  CHECK(pitches->rows[1].shared_u == std::vector<double>{0.2, 3.0});
  // In the units that people read, as the value.
  auto shown = *pitches;
  show_units(shown, {moundwork::definitions::SpeedUnit::mile_per_hour});
  CHECK(shown.rows[0].shared_u[0] == Approx(0.2 / 0.44704));
}

TEST_CASE("Named retests count where both sessions are given and lie near", "[relate]") {
  const auto first = example("s1", "2026-05-01T10:00:00");
  auto second = example("s2", "2026-05-09T10:00:00");
  const session::Edit named = edit(std::nan(""), session::Action::retest, "2026-05-01", "s1");
  second.edits = {named};
  const auto wide = pitches_from_sessions({first, second}, {}, 8);
  REQUIRE(wide);
  CHECK(wide->retests == std::vector<Retest>{{"A1", "2026-05-09", "2026-05-01"}});
  CHECK(wide->notes.empty());
  const auto usual = pitches_from_sessions({first, second}, {});
  REQUIRE(usual);
  CHECK(usual->retests.empty());
  REQUIRE(usual->notes.size() == 1);
  CHECK(usual->notes[0].find("more than 7 days") != std::string::npos);
  const auto alone = pitches_from_sessions({second}, {}, 8);
  REQUIRE(alone);
  CHECK(alone->retests.empty());
  CHECK(alone->notes[0].find("was not given") != std::string::npos);
  // An athlete's id put right since.
  auto other = first;
  other.athlete.id = "A2";
  CHECK(pitches_from_sessions({other, second}, {}, 8)->retests.empty());
  second.edits.push_back(edit(std::nan(""), session::Action::retest, "", ""));
  CHECK(pitches_from_sessions({first, second}, {}, 8)->retests.empty());
}

TEST_CASE("Sessions come in order of time and are told apart", "[relate]") {
  const auto pitches = pitches_from_sessions(
      {example("s3", "2026-06-01T10:00:00"), example("s1", "2026-05-01T10:00:00"),
       example("s2", "2026-05-01T15:00:00")},
      {});
  REQUIRE(pitches);
  CHECK(pitches->rows[0].session == "2026-05-01T10:00:00");
  CHECK(pitches->rows[3].session == "2026-05-01T15:00:00");
  CHECK(pitches->rows[6].session == "2026-06-01");
}

TEST_CASE("An evening's sessions share the day of their own place", "[relate]") {
  auto afternoon = example("s1", "2026-07-04T23:30:00Z");
  auto evening = example("s2", "2026-07-05T02:30:00Z");
  auto next = example("s3", "2026-07-05T18:00:00Z");
  for (auto* session : {&afternoon, &evening, &next})
    session->zone = {"America/Los_Angeles", -7 * 3600, false};
  const auto pitches = pitches_from_sessions({afternoon, evening, next}, {});
  REQUIRE(pitches);
  CHECK(pitches->rows[0].session == "2026-07-04T16:30:00");
  CHECK(pitches->rows[3].session == "2026-07-04T19:30:00");
  CHECK(pitches->rows[6].session == "2026-07-05");
}

TEST_CASE("Two people who were given one id are kept apart, and it is said", "[relate]") {
  auto older = example("s1", "2026-05-01T10:00:00");
  auto newer = example("s2", "2026-05-09T10:00:00");
  older.athlete.born = "2004-02-29";
  newer.athlete.born = "2009-11-02";
  const auto pitches = pitches_from_sessions({older, newer}, {});
  REQUIRE(pitches);
  CHECK(pitches->rows.front().athlete != pitches->rows.back().athlete);
  REQUIRE(pitches->notes.size() == 1);
  CHECK_THAT(pitches->notes.front(), Catch::Contains("2009-11-02"));
  // A date that is not known says nothing.
  newer.athlete.born.clear();
  const auto one = pitches_from_sessions({older, newer}, {});
  REQUIRE(one);
  CHECK(one->rows.front().athlete == one->rows.back().athlete);
  CHECK(one->notes.empty());
}

TEST_CASE("Sessions that cannot be related are refused in words", "[relate]") {
  const auto session = example("s1", "2026-05-01T10:00:00");
  const auto twice = pitches_from_sessions({session, session}, {});
  REQUIRE_FALSE(twice);
  CHECK(twice.error().sentence().find("same session") != std::string::npos);
  CHECK_FALSE(pitches_from_sessions({session}, {"no_such_quantity"}));
  CHECK_FALSE(pitches_from_sessions({session}, {"ball_speed"}));
  CHECK_FALSE(pitches_from_sessions({session}, {"braking_impulse", "braking_impulse"}));
  CHECK_FALSE(read_analysed_session("no/such/session.h5"));
}

TEST_CASE("An analysed session is read from its files, another is sent to be analysed",
          "[relate]") {
  const support::Folder folder;
  const auto path = folder / "a.h5";
  const auto description = support::example_session();
  auto writer = session::Writer::create(path, description);
  REQUIRE(writer);
  REQUIRE(writer->close());
  const auto raw = read_analysed_session(path);
  REQUIRE_FALSE(raw);
  CHECK(raw.error().sentence().find("has not been analysed") != std::string::npos);
  CHECK(raw.error().remedy == Remedy::measure);

  auto example_of = example("s1", "2026-05-01T10:00:00");
  example_of.results.software = "test";
  example_of.results.settings = "{}";
  REQUIRE(session::append_results(path, example_of.results));
  REQUIRE(session::append_edit(path, edit(20.0, session::Action::tag, "cue", "sit back")));
  const auto session = read_analysed_session(path);
  REQUIRE(session);
  CHECK(session->id == description.id);
  const auto pitches = pitches_from_sessions({*session}, {});
  REQUIRE(pitches);
  REQUIRE(pitches->rows.size() == 3);
  CHECK(pitches->rows[0].cue == "sit back");
  CHECK(pitches->rows[2].ball_speed.value == 41.0);
  CHECK(pitches->rows[2].quantities[0].value == 153.0);
}
