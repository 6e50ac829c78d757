// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/content.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/session/start.h"
#include "core/session/writer.h"
#include "core/summary/cover.h"
#include "core/summary/pseudonymous.h"
#include "core/summary/support.h"
#include "support/folder.h"
#include "support/session_example.h"
#include "support/time_zone.h"

using namespace moundwork;
using namespace moundwork::summary;
using namespace moundwork::summary_support;

namespace {

bool holds(const std::string& text, const std::string& part) {
  CAPTURE(text, part);
  return text.find(part) != std::string::npos;
}

void exclude(Source& source, double contact, const std::string& why) {
  source.analysed.edits.push_back(edit(contact, "exclude", why));
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
}

void drop(Source& source, const std::string& key) {
  for (auto& one : source.analysed.results.throws)
    std::erase_if(one.quantities, [&](const auto& value) { return value.key == key; });
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
}

relate::AnalysedSession other(const std::string& id, double speed) {
  auto session = made_source(3, "of " + id).analysed;
  session.athlete.id = id;
  session.athlete.name = "Other " + id;
  for (auto& one : session.results.throws) one.quantities[0].measured.value = speed;
  return session;
}

}  // namespace

TEST_CASE("A summary says who, when and under which conditions", "[summary]") {
  const Summary summary = summarise(made_source(4), {});
  CHECK(summary.who == "Ottilie Quernmoor");
  CHECK(summary.person ==
        std::vector<std::string>{"A1", "left-hander", "14 years", "60.0 kg", "1.70 m"});
  CHECK(summary.when == "4 May 2026, 08:30");
  CHECK(summary.conditions ==
        std::vector<std::string>{"mound", "21 °C", "1004 hPa", "45 % humidity"});
  CHECK(summary.counted == "4 throws counted");
  CHECK(summary.excluded.empty());
}

TEST_CASE("Day, hour and age are those of the session's own place", "[summary]") {
  // On the evening before a 14th birthday, when it is the birthday already in UTC. Read from a
  // file, as everything that comes from one is.
  const support::Folder folder;
  session::Session session = support::example_session();
  session::set_start(session, from_iso_text("2026-07-05T02:30:00Z").value(), "America/Los_Angeles");
  session.athlete.born = "2012-07-05";
  const auto path = folder / "a.h5";
  auto writer = session::Writer::create(path, session);
  REQUIRE(writer);
  REQUIRE(writer->close());
  session::ResultSet results;
  results.made = "2026-07-05T03:00:00Z";
  REQUIRE(session::append_results(path, results));
  for (const char* place : {"Asia/Kathmandu", "America/Los_Angeles"}) {
    const support::TimeZone here(place);
    const auto source = read_source(path);
    REQUIRE(source);
    CHECK(source->age == 13);
    const Summary summary = summarise(*source, {});
    CHECK(summary.when == "4 July 2026, 19:30");
    CHECK(summary.made.find("analysed 4 July 2026") != std::string::npos);
    CHECK(summary.made.find("assumed") == std::string::npos);
  }
  auto old = made_source(4);
  old.session.zone = {"America/Los_Angeles", -7 * 3600, true};
  CHECK(summarise(old, {}).made.find("zone assumed: America/Los_Angeles") != std::string::npos);
}

TEST_CASE("The five numbers are means of the throws with a 95 % uncertainty", "[summary]") {
  const Summary summary = summarise(made_source(5), {});
  REQUIRE(summary.numbers.size() == 5);
  const Number& speed = summary.numbers[0];
  // 36.0, 36.5, ... 38.0: mean 37.0; 1.96 x 0.1 = 0.196, and two digits since the first is below 3.
  CHECK(speed.value == "37.00");
  CHECK(speed.plus_minus == "0.20");
  CHECK(speed.unit == "m/s");
  CHECK(speed.range == "36.00 to 38.00");
  CHECK(speed.throws == 5);
  // 70 on the way from heel to toe.
  CHECK(holds(summary.numbers[1].meaning, "toward the toe"));
  CHECK(summary.numbers[4].value == "−50.0");
  CHECK(summary.numbers[4].unit == "ms");
  CHECK(holds(summary.numbers[4].meaning, "50 ms before it"));
}

TEST_CASE("Ball speed comes in the unit asked for, with its uncertainty", "[summary]") {
  Context context;
  context.speed_unit = definitions::SpeedUnit::mile_per_hour;
  const Summary summary = summarise(made_source(1), context);
  // 36.0 m/s over 0.44704 (exact) = 80.529 mph; 1.96 x 0.1 over the same = 0.438.
  CHECK(summary.numbers[0].value == "80.5");
  CHECK(summary.numbers[0].plus_minus == "0.4");
  CHECK(summary.numbers[0].unit == "mph");
  CHECK(summary.numbers[0].range.empty());
}

TEST_CASE("Excluded throws are not counted, and it is said with the reason", "[summary]") {
  Source source = made_source(5);
  exclude(source, 100.01, "foot slipped");
  exclude(source, 80.0, "foot slipped");
  const Summary summary = summarise(source, {});
  CHECK(summary.throws_counted == 3);
  CHECK(summary.throws_found == 5);
  CHECK(summary.counted == "3 of 5 throws counted");
  CHECK(summary.excluded ==
        "2 throws left out by hand and not counted: throws 4 and 5 (foot slipped).");
  CHECK(summary.numbers[0].value == "36.50");
  CHECK(summary.numbers[0].throws == 3);
  // The arm has thrown them all.
  CHECK(holds(all_text(summary), "5 throws of this day are known here"));
}

TEST_CASE("Warm-ups are not counted, and the arm has thrown them", "[summary]") {
  Source source = made_source(5);
  for (const double contact : {20.0, 40.0}) {
    session::Edit warm = edit(contact, "tag", "");
    warm.target = "warm_up";
    warm.text = "yes";
    source.analysed.edits.push_back(warm);
  }
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
  const Summary summary = summarise(source, {});
  CHECK(summary.counted == "3 of 5 throws counted");
  CHECK(summary.excluded == "2 throws left out by hand and not counted: throws 1 and 2 (warm-up).");
  CHECK(summary.numbers[0].throws == 3);
  // What the pitch counts take.
  CHECK(summary.throws_found == 5);
}

TEST_CASE("Numbers over several pitch types say so", "[summary]") {
  Source source = made_source(3);
  session::Edit type = edit(20.0, "tag", "");
  type.target = "pitch_type";
  type.text = "change-up";
  source.analysed.edits.push_back(type);
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
  const Summary mixed = summarise(source, {});
  REQUIRE_FALSE(mixed.doubts.empty());
  CHECK(mixed.doubts[0] ==
        "All numbers are over throws of several types: 2 of no type told, 1 change-up.");
  for (const double contact : {40.0, 60.0}) {
    type.throw_contact = contact;
    source.analysed.edits.push_back(type);
  }
  source.counted = counted_throws(source.analysed.results, source.analysed.edits);
  CHECK(summarise(source, {}).doubts.empty());
}

TEST_CASE("A number that was not measured says why", "[summary]") {
  Source source = made_source(3);
  drop(source, "ball_speed");
  drop(source, "heel_toe_at_drive_peak");
  source.session.radar.reset();
  source.session.foot_line.reset();
  const Summary summary = summarise(source, {});
  CHECK(summary.numbers[0].value.empty());
  CHECK(holds(summary.numbers[0].meaning, "no radar"));
  CHECK(summary.numbers[1].value.empty());
  CHECK(holds(summary.numbers[1].meaning, "not located"));
  CHECK_FALSE(summary.against);
  CHECK(holds(summary.no_against, "No counted throw has a ball speed"));
  CHECK(holds(summary.no_foot, "not located"));
  CHECK(holds(summary.no_doubts, "beside what the table says"));
  CHECK(holds(summarise(made_source(3), {}).no_doubts, "every throw was measured whole"));
}

TEST_CASE("Many reasons, or long ones, leave room for the rest of the page", "[summary]") {
  Source source = made_source(9);
  for (int i = 1; i <= 8; ++i)
    exclude(source, 20.0 * i, "reason " + std::to_string(i) + " " + std::string(300, 'x'));
  const std::string text = summarise(source, {}).excluded;
  CHECK(text.size() < 500);
  CHECK(holds(text, "8 throws left out by hand"));
  CHECK(holds(text, "reason 3"));
  CHECK(text.ends_with("; the rest for other reasons."));
}

TEST_CASE("A session whose every throw was left out still has a page", "[summary]") {
  Source source = made_source(1);
  exclude(source, 20.0, "");
  const Summary summary = summarise(source, {});
  CHECK(summary.throws_counted == 0);
  CHECK(holds(summary.excluded, "no reason noted"));
  for (const Number& number : summary.numbers) CHECK(number.value.empty());
}

TEST_CASE("A change beyond its limit is real only where retests tell what days differ by",
          "[summary]") {
  Context context;
  // Half a metre a second less in each of ten throws that scatter by 1.5 m/s: Welch's t is 0.74.
  auto before = made_source(10, "s0", "2026-03-02T10:00:00Z").analysed;
  for (auto& one : before.results.throws) {
    one.quantities[0].measured.value -= 0.5;
    one.quantities[3].measured.value -= 0.9;  // and braking, that scatters by 0.15, by 0.9
  }
  context.sessions = {before};
  const Summary summary = summarise(made_source(10), context);
  REQUIRE(summary.numbers[0].change);
  CHECK_FALSE(summary.numbers[0].change->real);
  CHECK(holds(summary.numbers[0].change->difference, "+0.5"));
  CHECK(holds(summary.numbers[0].change->verdict, "may be chance"));
  REQUIRE(summary.numbers[3].change);
  CHECK_FALSE(summary.numbers[3].change->real);
  CHECK(summary.numbers[3].change->beyond_scatter);
  CHECK(holds(summary.numbers[3].change->verdict, "beyond scatter and measurement (limit"));
  CHECK(holds(summary.change_note, "since 2 March 2026 (10 throws)"));
  CHECK(holds(summary.change_note, "too few athletes were measured again"));
  CHECK(holds(cover_of({summary}, {}, true, "test").rows[0].look, "perhaps not beyond days"));

  for (int i = 0; i < 6; ++i) {
    const std::string id = "O" + std::to_string(i);
    auto first = made_source(10, id + "-1", "2026-03-02T10:00:00Z").analysed;
    auto again = made_source(10, id + "-2", "2026-03-05T10:00:00Z").analysed;
    for (auto* session : {&first, &again}) session->athlete.id = id;
    for (auto& one : again.results.throws) one.quantities[3].measured.value += 0.02 * i;
    session::Edit named;
    named.action = session::Action::retest;
    named.text = first.id;
    again.edits = {named};
    context.sessions.push_back(first);
    context.sessions.push_back(again);
  }
  const Summary known = summarise(made_source(10), context);
  REQUIRE(known.numbers[3].change);
  CHECK(known.numbers[3].change->real);
  CHECK(holds(known.numbers[3].change->verdict, "beyond what days differ by (limit"));
  CHECK(holds(known.change_note, "6 other athletes measured again"));
  CHECK(holds(cover_of({known}, {}, true, "test").rows[0].look, "Lead-foot braking changed"));
}

TEST_CASE("The page's change is of one pitch type, and growth stands beside it", "[summary]") {
  auto before = made_source(10, "s0", "2026-03-02T10:00:00Z").analysed;
  before.athlete.mass.value = 57.0;
  Source now = made_source(10);
  const auto type = [](std::vector<session::Edit>& edits, int from, int to, const char* text) {
    for (int number = from; number <= to; ++number) {
      session::Edit tag;
      tag.throw_contact = 20.0 * number;
      tag.action = session::Action::tag;
      tag.target = "pitch_type";
      tag.text = text;
      edits.push_back(tag);
    }
  };
  type(before.edits, 1, 6, "fastball");
  type(before.edits, 7, 10, "curveball");
  type(now.analysed.edits, 1, 10, "fastball");
  Context context;
  context.sessions = {before};
  const Summary summary = summarise(now, context);
  REQUIRE(summary.numbers[0].change);
  CHECK(holds(summary.change_note, "(6 throws), of fastball throws alone"));
  CHECK(holds(summary.change_note, "body mass went from 57.0 kg to 60.0 kg"));

  type(context.sessions[0].edits, 1, 10, "slider");
  const Summary other = summarise(now, context);
  CHECK(holds(other.change_note, "is not judged"));
  CHECK(other.numbers[0].change->difference.empty());
}

TEST_CASE("It is the last session before that is compared with", "[summary]") {
  Context context;
  context.sessions = {made_source(4, "old", "2025-03-02T10:00:00Z").analysed,
                      made_source(4, "last", "2026-04-30T10:00:00Z").analysed,
                      made_source(4, "later", "2026-06-01T10:00:00Z").analysed,
                      made_source(4).analysed};  // the session itself
  CHECK(holds(summarise(made_source(4), context).change_note, "since 30 April 2026"));
  context.sessions = {made_source(4, "later", "2026-06-01T10:00:00Z").analysed, other("B", 30.0)};
  CHECK(holds(summarise(made_source(4), context).change_note, "No earlier session"));
}

TEST_CASE("A place is told among enough others, with how many they are", "[summary]") {
  const Source source = made_source(3);  // 36.5 m/s
  Context context;
  const auto with = [&](std::vector<double> speeds) {
    std::vector<relate::AnalysedSession> sessions{source.analysed};
    for (std::size_t i = 0; i < speeds.size(); ++i)
      sessions.push_back(other("O" + std::to_string(i), speeds[i]));
    context.group = group_from_sessions(sessions, source.analysed.athlete, Group{});
    return summarise(source, context);
  };
  CHECK(with({30.0, 40.0, 35.0}).numbers[0].place == "higher than 2 of 3");
  CHECK(with({30.0, 31.0, 32.0}).numbers[0].place == "higher than all 3");
  // Nobody is said to be the last, alone or with others.
  CHECK(with({40.0, 41.0, 42.0}).numbers[0].place == "beside 3 others");
  CHECK(with({36.5, 41.0, 42.0}).numbers[0].place == "beside 3 others");
  const Summary few = with({30.0, 31.0});
  CHECK(few.numbers[0].place.empty());
  CHECK(few.numbers[0].others.empty());
  CHECK(holds(few.group_note, "Too few others to compare with in the group given: 2."));
  // 20 others of whom 12 are slower and two throw as fast: 100 (12 + 1) / 20. Intervals:
  // SciPy 1.10.1, binomtest(k, 20).proportion_ci(method="wilson"): 0.4329 to 0.8188 of 13, 0 to
  // 0.1611 of none, 0.8388 to 1 of 20.
  std::vector<double> many(12, 30.0);
  many.insert(many.end(), 2, 36.5);
  many.insert(many.end(), 6, 40.0);
  CHECK(with(many).numbers[0].place == "percentile 65 (43 to 82) of 20");
  CHECK(with(std::vector<double>(20, 40.0)).numbers[0].place == "percentile 0 to 16 of 20");
  CHECK(with(std::vector<double>(20, 30.0)).numbers[0].place == "percentile 100 (84 to 100) of 20");
}

TEST_CASE("Others can be those of like age, by their latest session", "[summary]") {
  auto young = other("young", 25.0);
  young.athlete.born = "2013-01-01";  // 13 on the day
  auto grown = other("grown", 40.0);
  grown.athlete.born = "2001-01-01";
  auto unknown = other("unknown", 41.0);
  unknown.athlete.born.clear();
  auto earlier = other("young", 20.0);
  earlier.id = "earlier";
  earlier.started = "2026-01-04T08:30:00Z";
  earlier.athlete.born = "2013-01-01";
  const std::vector<relate::AnalysedSession> sessions{young, grown, unknown, earlier};
  const auto all = group_from_sessions(sessions, made_source(1).analysed.athlete, Group{});
  CHECK(all.athletes == 3);
  const auto like =
      group_from_sessions(sessions, made_source(1).analysed.athlete,
                          group_wanted(14, {.any_age = false, .within = 2}, GroupFrom::given));
  CHECK(like.athletes == 1);
  CHECK(like.means.at("ball_speed") == std::vector<double>{25.0});
  CHECK(all.without_age == 0);
  CHECK(like.without_age == 1);
}

TEST_CASE("Nobody under 18 is set beside others, or counts among them, unless asked", "[summary]") {
  const auto born = [](std::string id, const std::string& day) {
    auto one = other(id, 30.0);
    one.athlete.born = day;
    return one;
  };
  // On 4 May 2026 they are 10, 17, 18, 20, 22 and 23.
  const std::vector<relate::AnalysedSession> sessions{born("ten", "2015-07-01"),
                                                      born("seventeen", "2008-05-05"),
                                                      born("eighteen", "2008-05-04"),
                                                      born("twenty", "2005-06-01"),
                                                      born("twenty-two", "2003-06-01"),
                                                      born("older", "2002-06-01"),
                                                      born("unknown", "")};
  session::Athlete athlete = made_source(1).analysed.athlete;
  const auto others = [&](std::optional<int> age, const OthersAsked& asked) {
    return group_from_sessions(sessions, athlete, group_wanted(age, asked, GroupFrom::lab_folder));
  };
  const Group child = others(10, {});
  CHECK(child.athletes == 0);
  CHECK(child.means.empty());
  CHECK(group_words(child) ==
        "Not set beside others: under 18 that is done only when it is asked for.");
  // 18 to 21 years, and not the one of 17 who is within two years.
  CHECK(others(19, {}).athletes == 2);
  CHECK(others(20, {}).athletes == 3);
  // Asked for.
  CHECK(others(19, {.any_age = false, .within = 2}).athletes == 3);
  CHECK(others(10, {.any_age = false, .within = 2}).athletes == 1);
  CHECK(others(10, {.any_age = true, .within = {}}).athletes == 7);
  // Where the athlete's own age is not known, all but those known to be children.
  CHECK(others(std::nullopt, {}).athletes == 5);
  CHECK(others(std::nullopt, {.any_age = false, .within = 2}).why_none == NoGroup::no_age);
}

TEST_CASE("The page says who the others are", "[summary]") {
  Group group = group_wanted(20, {}, GroupFrom::lab_folder);
  group.athletes = 11;
  group.without_age = 1;
  CHECK(group_words(group) ==
        "Beside 11 others in the lab's folder: a place, not a mark. Others count when aged 18 to "
        "22, at any size. 1 other is left out, since the age is not known.");
  group = group_wanted({}, {}, GroupFrom::together);
  group.athletes = 3;
  CHECK(group_words(group) ==
        "Beside 3 others summarised together: a place, not a mark. Others count at any age and "
        "size unless they are known to be under 18.");
  CHECK(group_words(std::nullopt) == "No other athletes were given to stand beside.");
}

TEST_CASE("The strongest quantity is set against ball speed in relate's words", "[summary]") {
  // Both only rise from throw to throw, as with warming up: that is no relation.
  const Summary drifted = summarise(made_source(12), {});
  REQUIRE(drifted.against);
  CHECK_FALSE(drifted.against->line.has_value());
  // Harder brakers are faster ones, whenever they came.
  Source source = made_source(12);
  for (session::ResultThrow& one : source.analysed.results.throws) {
    const double harder = one.number * 7 % 12 / 12.0;
    one.quantities[0].measured.value += 3.0 * harder;
    one.quantities[3].measured.value += 0.3 * harder;
  }
  source.counted = counted_throws(source.analysed.results, {});
  const Summary summary = summarise(source, {});
  REQUIRE(summary.against);
  CHECK(summary.against->quantity == "braking impulse per mass");
  CHECK(summary.against->x.size() == 12);
  CHECK(summary.against->line.has_value());
  CHECK(holds(summary.against->says, "Within this athlete"));
  const Summary few = summarise(made_source(2), {});
  CHECK_FALSE(few.against);
  CHECK(holds(few.no_against, "2 throws"));
}

TEST_CASE("Doubts are told once each, with their throws, missing numbers first", "[summary]") {
  Source source = made_source(4);
  for (auto& one : source.analysed.results.throws) {
    one.flags.push_back({"assumed_air", "temperature or pressure were not noted"});
    if (one.number > 2) one.flags.push_back({"no_radar", "no radar reading belongs to this throw"});
  }
  source.analysed.results.throws[1].flags.push_back({"something_new", "a bird sat on the plate"});
  source.counted = counted_throws(source.analysed.results, {});
  const Summary summary = summarise(source, {});
  REQUIRE(summary.doubts.size() == 3);
  CHECK(holds(summary.doubts[0], "(throws 3 and 4)."));
  CHECK(holds(summary.doubts[0], "No ball speed"));
  CHECK(holds(summary.doubts[1], "(all throws)."));
  CHECK(summary.doubts[2] == "a bird sat on the plate (throw 2).");
  CHECK(summarise(made_source(2), {}).doubts.empty());
}

TEST_CASE("Every page cautions, and counts pitches by age with the source", "[summary]") {
  const Summary young = summarise(made_source(70), {});
  const std::string text = all_text(young);
  CHECK(holds(text, "Pain, numbness or unusual tiredness: stop, and see a licensed clinician."));
  CHECK(holds(text, "not a medical device"));
  CHECK(holds(text, "do not show the risk of injury"));
  CHECK(holds(text, "association, not an instruction"));
  // Daily limits as two league pages restate them: 95 at 14, four days after 66 or more.
  CHECK(holds(text,
              "Pitch counts at age 14: at most 95 a day; after the 70 throws of this day that are "
              "known here, at least 4 calendar days of rest. Add all other throws of that day."));
  // The arm counts the day, whatever it was cut into.
  Context twice;
  twice.beside = {1, 18, 0};
  CHECK(holds(all_text(summarise(made_source(18), twice)),
              "after the 36 throws of this day that are known here, at least 2 calendar days"));
  twice.beside = {1, 80, 2};
  CHECK(holds(all_text(summarise(made_source(18), twice)), "are more than the limit of 95 a day"));
  CHECK(holds(all_text(summarise(made_source(18), twice)),
              "2 more sessions of this day are not measured"));
  CHECK(holds(all_text(summarise(made_source(1), {})), "1 throw of this day is known here"));
  // Few throws here permit nothing: nobody knows the others of the day.
  const std::string few = all_text(summarise(made_source(18), {}));
  CHECK_FALSE(holds(few, "no day of rest"));
  CHECK(holds(few,
              "a calendar day of rest from 21 throws on. 18 throws of this day are known here; add "
              "all other throws of that day."));
  CHECK(holds(text, safety::common_pitch_counts().source));
  CHECK(holds(text, "table of " + safety::common_pitch_counts().dated));
  CHECK(holds(all_text(summarise(made_source(96), {})), "are more than the limit of 95 a day"));

  Source source = made_source(3);
  source.age.reset();
  CHECK(holds(all_text(summarise(source, {})), "the age is not noted"));
  source.age = 30;
  CHECK_FALSE(holds(all_text(summarise(source, {})), "Pitch counts at age"));
  source.age = 6;
  CHECK(holds(all_text(summarise(source, {})), "name no limit"));
}

TEST_CASE("No page says that one thing causes another", "[summary]") {
  Context context;
  context.sessions = {made_source(6, "s0", "2026-03-02T10:00:00Z").analysed};
  context.group = group_from_sessions({other("B", 30.0), other("C", 31.0), other("D", 32.0)},
                                      made_source(1).analysed.athlete, Group{});
  CHECK_FALSE(holds(all_text(summarise(made_source(12), context)), "caus"));
}

TEST_CASE("Codes stand for people, and no text gives the name away", "[summary]") {
  Source source = made_source(3);
  exclude(source, 20.0, "Ottilie was tired");
  source.session.conditions.surface = "Quernmoor's own mound";
  output::Pseudonyms codes(output::LabKey{});
  codes.know(source.session.athlete);
  pseudonymise(source, codes);
  const Summary summary = summarise(source, {});
  CHECK(summary.who == codes.athlete_code(made_source(1).session.athlete));
  for (const char* part : {"Ottilie", "Quernmoor", "A1", "2012", "s1"})
    CHECK_FALSE(holds(all_text(summary), part));
  CHECK(holds(all_text(summary), "14 years"));
  CHECK(holds(summary.made, codes.session_code("s1")));
}

TEST_CASE("A name that would turn or break the page's lines does not", "[summary]") {
  Source source = made_source(2);
  source.session.athlete.name = "Ann\u202e\nevil";
  source.session.athlete.id = "\u202eid\x1b[2J";
  const Summary summary = summarise(source, {});
  CHECK(summary.who == "Ann evil");
  CHECK(summary.person.at(0) == "id[2J");
}

TEST_CASE("An id or a surface that is too long for its line is cut between characters",
          "[summary]") {
  Source source = made_source(2);
  source.session.athlete.id = std::string(39, 'a') + "é" + std::string(300, 'b');
  source.session.conditions.surface = std::string(30, 's') + "t";
  const Summary summary = summarise(source, {});
  CHECK(summary.person.at(0) == std::string(39, 'a') + "…");
  CHECK(summary.conditions.at(0) == std::string(30, 's') + "…");
}
