// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/relate/repeat.h"
#include "core/relate/support.h"

using namespace moundwork::relate;
using moundwork::Measured;

namespace {

// A test-retest example, computed apart with NumPy, as one pitch a session; ball speed is the same
// column, so that it repeats too.
constexpr std::array<double, 8> first{100, 105, 98, 110, 102, 95, 108, 101};
constexpr std::array<double, 8> second{102, 104, 101, 113, 101, 97, 107, 105};

void add(Pitches& pitches, const std::string& athlete, const std::string& session, double value) {
  Pitch row;
  row.athlete = athlete;
  row.session = session;
  row.ball_speed = Measured{value};
  row.quantities = {Measured{value}};
  pitches.rows.push_back(row);
}

Pitches retested() {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  for (std::size_t i = 0; i < 8; ++i) {
    add(pitches, "A" + std::to_string(i), "spring", first[i]);
    add(pitches, "A" + std::to_string(i), "autumn", second[i]);
  }
  return pitches;
}

// The same, and every athlete's second session was named a retest of the first.
Pitches named() {
  Pitches pitches = retested();
  for (std::size_t i = 0; i < 8; ++i)
    pitches.retests.push_back({"A" + std::to_string(i), "autumn", "spring"});
  return pitches;
}

// Throws with scatter, of one type where it is told.
void add_throws(Pitches& pitches, const std::string& athlete, const std::string& session,
                const std::vector<double>& throws, const std::string& type = {}) {
  for (const double value : throws) {
    add(pitches, athlete, session, value);
    pitches.rows.back().pitch_type = type;
  }
}

const Change& change_of(const ChangeReport& report, const std::string& athlete) {
  return *std::find_if(report.changes.begin(), report.changes.end(), [&](const Change& c) {
    return c.athlete == athlete && c.quantity.key == "braking_impulse";
  });
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("Repeatability from two sessions is that of the worked example", "[relate]") {
  const auto repeats = repeatability(retested(), {});
  REQUIRE(repeats.size() == 2);
  const auto& r = repeats[1];
  // Computed apart with NumPy.
  CHECK(r.sessions == 2);
  CHECK(r.retested == 8);
  CHECK(r.session_typical_error == Approx(1.460797238).epsilon(1e-9));
  // The one t of all limits, at the typical error's 7 df: 2.364624 (any t table).
  CHECK(r.session_mdc == Approx(2.364624 * std::sqrt(2.0) * 1.460797238).epsilon(1e-6));
  REQUIRE(r.session_icc);
  CHECK(r.session_icc->two_one.value == Approx(.887137227).epsilon(1e-8));
  REQUIRE(r.retest);
  CHECK(r.retest->standard_error == Approx(1.426901605).epsilon(1e-9));
  CHECK(r.session_df == 7.0);
  CHECK(holds(r.says, "8 athletes retested"));
  CHECK(holds(r.says, "nobody named as retests"));
  const auto same = repeatability(named(), {})[1];
  CHECK(same.named);
  CHECK(same.session_typical_error == Approx(1.460797238).epsilon(1e-9));
  CHECK_FALSE(holds(same.says, "nobody named"));
}

TEST_CASE("Sessions count in order and as many as all have", "[relate]") {
  auto pitches = retested();
  add(pitches, "A0", "winter", 99.0);  // a third session of one athlete only
  add(pitches, "lonely", "spring", 120.0);
  const auto r = repeatability(pitches, {})[1];
  CHECK(r.sessions == 2);
  CHECK(r.retested == 8);
  CHECK(r.session_typical_error == Approx(1.460797238).epsilon(1e-9));
  CHECK(sessions_of(pitches, "A0") == std::vector<std::string>{"spring", "autumn", "winter"});
}

TEST_CASE("Named retests alone make the table of sessions", "[relate]") {
  auto pitches = named();
  add(pitches, "grown", "spring", 100.0);
  add(pitches, "grown", "autumn", 160.0);
  const auto r = repeatability(pitches, {})[1];
  CHECK(r.retested == 8);
  CHECK(r.session_typical_error == Approx(1.460797238).epsilon(1e-9));
}

TEST_CASE("with one athlete nobody is told apart, so the error of measurement is unknown, not 0",
          "[relate]") {
  const auto alone = repeatability(relate_support::invented(1, 20, 0.05, 7), {});
  REQUIRE_FALSE(alone.empty());
  for (const auto& one : alone) {
    CHECK(std::isnan(one.pitches.single.value));
    CHECK(std::isnan(one.pitch_sem));
  }
}

TEST_CASE("A difference is real only beyond what the others' retests differ by", "[relate]") {
  const auto report = find_changes(named(), {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "A7");
  CHECK(change.source == LimitSource::retest);
  CHECK(change.limit_of == "days");
  CHECK(change.retested == 7);
  // The seven others differ by 2, -1, 3, 3, -1, 2 and -1. Two numbers are judged, so t is that of
  // 1 - 0.05 / 4 for 7 df: 2.8412442551 (SciPy 1.10).
  CHECK(change.limit == Approx(2.8412442551 * std::sqrt(29.0 / 7.0)).epsilon(1e-8));
  CHECK(change.difference == 4.0);
  CHECK_FALSE(change.real);
  CHECK(change.word == ChangeWord::within);
  CHECK(holds(change.says, "within what repeating explains"));

  auto leap = named();
  add(leap, "leaper", "spring", 100.0);
  add(leap, "leaper", "autumn", 130.0);
  const auto leaped = find_changes(leap, {}, {});
  REQUIRE(leaped);
  const auto& real = change_of(*leaped, "leaper");
  CHECK(real.retested == 8);
  CHECK(real.real);
  CHECK(real.word == ChangeWord::beyond_days);
  CHECK(holds(real.says, "beyond what days differ by"));
  CHECK(holds(real.says, "30 N s more"));
}

TEST_CASE("A typical error that is given counts by the normal's limit", "[relate]") {
  auto leap = retested();
  add(leap, "leaper", "spring", 100.0);
  add(leap, "leaper", "autumn", 130.0);
  ChangeRequest request;
  request.typical_errors["braking_impulse"] = 1.460797238;
  const auto with = find_changes(leap, request, {});
  REQUIRE(with);
  const auto& given = change_of(*with, "leaper");
  CHECK(given.source == LimitSource::given);
  // The normal's quantile of 1 - 0.05 / 4: 2.2414027276 (SciPy 1.10).
  CHECK(given.limit == Approx(2.2414027276 * std::sqrt(2.0) * 1.460797238).epsilon(1e-9));
  CHECK(given.real);
}

TEST_CASE("Sessions that nobody named as retests never make a change real", "[relate]") {
  auto pitches = retested();
  add_throws(pitches, "Ari", "spring", {100.0, 101.0, 99.0, 100.5});
  add_throws(pitches, "Ari", "autumn", {150.0, 151.0, 149.0, 150.5});
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "Ari");
  CHECK(change.source == LimitSource::pitches);
  CHECK(change.word == ChangeWord::beyond_scatter);
  CHECK_FALSE(change.real);
  CHECK(std::isnan(change.typical_error));
}

TEST_CASE("Five others make the days known, four do not", "[relate]") {
  for (const int others : {4, 5}) {
    CAPTURE(others);
    Pitches pitches;
    pitches.quantities = {{"braking_impulse", "N s"}};
    const auto athlete = [&](const std::string& name, double change) {
      add_throws(pitches, name, "one", {99.5, 100.5, 100.0, 99.8, 100.2});
      add_throws(pitches, name, "two",
                 {99.5 + change, 100.5 + change, 100.0 + change, 99.8 + change, 100.2 + change});
      pitches.retests.push_back({name, "two", "one"});
    };
    for (int i = 0; i < others; ++i) athlete("B" + std::to_string(i), i % 2 == 0 ? 0.6 : -0.6);
    // Whoever changed is named a retest himself, and is not measured by it: with him in it, six
    // could never show that one of them changed.
    athlete("changed", 30.0);
    const auto report = find_changes(pitches, {}, {});
    REQUIRE(report);
    const auto& change = change_of(*report, "changed");
    CHECK(change.real == (others == 5));
    CHECK(change.word == (others == 5 ? ChangeWord::beyond_days : ChangeWord::beyond_scatter));
    CHECK(change.retested == (others == 5 ? 5 : 0));
    if (others == 4) continue;
    // Beyond the scatter of 2 x 0.1453 / 5 the others' 0.36: Dahlberg's sqrt(sum d^2 / 2 n).
    const double scatter = 2.0 * (0.25 + 0.25 + 0.04 + 0.04) / 4.0 / 5.0;
    CHECK(change.typical_error == Approx(std::sqrt((0.36 - scatter) / 2.0)).epsilon(1e-9));
    CHECK(change.limit_of == "scatter and days");
  }
}

TEST_CASE("What all throws of a day share widens the limit, and no number of throws lessens it",
          "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  add_throws(pitches, "Ari", "one", {100.0, 104.0, 98.0, 102.0});
  add_throws(pitches, "Ari", "two", {110.0, 114.0, 108.0, 112.0});
  for (auto& row : pitches.rows) row.shared_u = {0.0, row.session == "one" ? 3.0 : 4.0};
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "Ari");
  // Welch's df is 6; t and z of 1 - 0.05 / 4 are 2.9686866842 and 2.2414027276 (SciPy 1.10).
  const double scatter = 2.9686866842 * 2.9686866842 * 2.0 * 20.0 / 3.0 / 4.0;
  const double measured = 2.2414027276 * 2.2414027276 * (9.0 + 16.0);
  CHECK(change.limit == Approx(std::sqrt(scatter + measured)).epsilon(1e-8));
  CHECK(change.limit_of == "scatter, measurement");
  CHECK(change.word == ChangeWord::within);
  CHECK_FALSE(holds(change.says, "is not known"));
}

TEST_CASE("Throws of different types are never set against one another", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  SECTION("type by type where both days have them") {
    add_throws(pitches, "Ari", "one", {100.0, 101.0, 99.0}, "fastball");
    add_throws(pitches, "Ari", "one", {80.0, 81.0}, "change-up");
    add_throws(pitches, "Ari", "one", {10.0});
    add_throws(pitches, "Ari", "two", {100.0, 101.0, 99.5}, "fastball");
    add_throws(pitches, "Ari", "two", {80.0, 81.0, 79.0, 80.5}, "change-up");
    add_throws(pitches, "Ari", "two", {90.0}, "slider");
    const auto report = find_changes(pitches, {}, {});
    REQUIRE(report);
    REQUIRE(report->changes.size() == 4);  // two types of two numbers
    CHECK(report->changes[2].pitch_type == "change-up");
    CHECK(report->changes[2].mean_from == 80.5);
    CHECK(report->changes[2].looked_at == 4);
    CHECK(report->changes[3].pitch_type == "fastball");
    CHECK(report->changes[3].pitches_to == 3);
    CHECK(holds(report->changes[3].says, "(fastball only)"));
    CHECK(holds(report->notes[0], "1 throw without a pitch type"));
    ChangeRequest request;
    request.main_type = true;
    const auto main = find_changes(pitches, request, {});
    REQUIRE(main);
    REQUIRE(main->changes.size() == 2);
    CHECK(main->changes[1].pitch_type == "fastball");
  }
  SECTION("no type in common is not judged") {
    add_throws(pitches, "Ari", "one", {100.0, 101.0, 99.0}, "fastball");
    add_throws(pitches, "Ari", "two", {80.0, 81.0, 79.0}, "change-up");
    const auto report = find_changes(pitches, {}, {});
    REQUIRE(report);
    const auto& change = change_of(*report, "Ari");
    CHECK(change.word == ChangeWord::not_alike);
    CHECK(std::isnan(change.limit));
    CHECK(holds(change.says, "one: fastball; two: change-up"));
    CHECK(report->compared == 0);
  }
  SECTION("nor are typed throws against throws of which nobody told the type") {
    add_throws(pitches, "Ari", "one", {100.0, 101.0, 99.0});
    add_throws(pitches, "Ari", "two", {80.0, 81.0, 79.0}, "change-up");
    const auto report = find_changes(pitches, {}, {});
    REQUIRE(report);
    CHECK(change_of(*report, "Ari").word == ChangeWord::not_alike);
    CHECK(holds(change_of(*report, "Ari").says, "one: no type"));
  }
}

TEST_CASE("A retest is of throws alike", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  for (int i = 0; i < 6; ++i) {
    const std::string name = "B" + std::to_string(i);
    // As many of each on the first day, hardly a change-up on the second: means of the whole days
    // would differ by 8.
    add_throws(pitches, name, "one", {100.0, 101.0, 99.0}, "fastball");
    add_throws(pitches, name, "one", {80.0, 81.0, 79.0}, "change-up");
    add_throws(pitches, name, "two", {101.0, 102.0, 100.0}, "fastball");
    add_throws(pitches, name, "two", {81.0}, "change-up");
    if (i > 0) pitches.retests.push_back({name, "two", "one"});
  }
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto fastball =
      std::find_if(report->changes.begin(), report->changes.end(), [](const Change& change) {
        return change.athlete == "B0" && change.index == 0 && change.pitch_type == "fastball";
      });
  REQUIRE(fastball != report->changes.end());
  CHECK(fastball->source == LimitSource::retest);
  // They differ by 1 each, of which the scatter of 1/3 + 1/3 is taken off.
  CHECK(fastball->typical_error == Approx(std::sqrt((1.0 - 2.0 / 3.0) / 2.0)).epsilon(1e-9));
}

TEST_CASE("Mass and height of both days stand beside a change where they differ", "[relate]") {
  auto pitches = retested();
  pitches.mass_unit = "kg";
  pitches.height_unit = "m";
  for (auto& row : pitches.rows) {
    const bool later = row.session == "autumn";
    row.mass = row.athlete == "A0" && later ? 55.1 : 52.0;
    row.height = row.athlete == "A0" && later ? 1.64 : 1.601;
    if (row.athlete == "A1" && later) row.height = 1.602;
    if (row.athlete == "A2" && later) row.mass = std::nan("");
  }
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& grown = change_of(*report, "A0").growth;
  REQUIRE(grown);
  CHECK(grown->mass->to == 55.1);
  CHECK(grown->says ==
        "Between the two days body mass went from 52.0 kg to 55.1 kg and height from 1.60 m to "
        "1.64 m.");
  CHECK_FALSE(change_of(*report, "A1").growth);
  CHECK_FALSE(change_of(*report, "A2").growth);
}

TEST_CASE("A pitch without a ball speed counts in the change of its other numbers", "[relate]") {
  auto pitches = retested();
  add(pitches, "A7", "autumn", 117.0);
  pitches.rows.back().ball_speed = Measured{};
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "A7");
  CHECK(change.pitches_to == 2);
  CHECK(change.mean_to == Approx((105.0 + 117.0) / 2.0));
}

TEST_CASE("Without a retest scatter is a least limit, and it is said", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  for (const double value : {100.0, 104.0, 98.0, 102.0}) add(pitches, "Ari", "one", value);
  for (const double value : {110.0, 114.0, 108.0, 112.0}) add(pitches, "Ari", "two", value);
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "Ari");
  CHECK(change.source == LimitSource::pitches);
  // Equal variances of 20/3 and sizes of 4: Welch's df is 6; t of 1 - 0.05 / 4, for two numbers are
  // judged, is 2.9686866842 (SciPy 1.10).
  CHECK(change.limit == Approx(2.9686866842 * std::sqrt(2.0 * 20.0 / 3.0 / 4.0)).epsilon(1e-8));
  CHECK(change.word == ChangeWord::beyond_scatter);
  CHECK_FALSE(change.real);
  CHECK(holds(change.says, "beyond scatter and measurement"));
  CHECK(holds(change.says, "days may differ by more"));
}

TEST_CASE("The scatter of few pitches widens the limit of a typical error that is given",
          "[relate]") {
  auto pitches = retested();
  for (const double value : {80.0, 120.0}) add(pitches, "wild", "spring", value);
  for (const double value : {85.0, 125.0}) add(pitches, "wild", "autumn", value);
  ChangeRequest request;
  request.typical_errors["braking_impulse"] = 1.460797238;
  const auto report = find_changes(pitches, request, {});
  REQUIRE(report);
  CHECK(change_of(*report, "wild").source == LimitSource::few_pitches);
  CHECK_FALSE(change_of(*report, "wild").real);
  CHECK(holds(report->notes.back(), "by luck alone"));
}

TEST_CASE("Single pitches without a typical error get cannot tell", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  add(pitches, "Ari", "one", 100.0);
  add(pitches, "Ari", "two", 110.0);
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  CHECK(change_of(*report, "Ari").source == LimitSource::none);
  CHECK_FALSE(change_of(*report, "Ari").real);
  CHECK(holds(change_of(*report, "Ari").says, "cannot tell"));
}

TEST_CASE("Changes that cannot be looked for are refused in words", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  add(pitches, "Ari", "one", 100.0);
  CHECK_FALSE(find_changes(pitches, {}, {}));
  ChangeRequest request;
  request.from = "never";
  CHECK_FALSE(find_changes(retested(), request, {}));
  request = {};
  request.typical_errors["nothing"] = 1.0;
  CHECK_FALSE(find_changes(retested(), request, {}));
  request.typical_errors = {{"braking_impulse", -1.0}};
  CHECK_FALSE(find_changes(retested(), request, {}));
}

TEST_CASE("Named sessions are the ones compared", "[relate]") {
  auto pitches = retested();
  add(pitches, "A0", "winter", 120.0);
  ChangeRequest request;
  request.from = "autumn";
  request.to = "winter";
  const auto report = find_changes(pitches, request, {});
  REQUIRE(report);
  CHECK(report->changes.size() == 2);  // ball speed and the quantity, of A0
  CHECK(change_of(*report, "A0").difference == 18.0);
  CHECK(holds(report->notes[0], "7 athletes without the two sessions"));
}
