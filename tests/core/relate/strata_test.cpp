// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/strata.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/base/random.h"
#include "core/relate/relation.h"
#include "support.h"

using namespace moundwork;
using namespace moundwork::relate;

namespace {

Settings quick() {
  Settings settings;
  settings.resample.resamples = 1000;
  return settings;
}

struct Row {
  const char *athlete, *session, *type;
  double number, x, y;
};

// Two athletes, two days of one of them, two types in turn.
constexpr Row few[]{{"a", "1", "fastball", 1, 10.2, 36.1},  {"a", "1", "fastball", 2, 11.0, 36.9},
                    {"a", "1", "change-up", 3, 9.1, 31.8},  {"a", "1", "fastball", 4, 10.6, 36.2},
                    {"a", "1", "change-up", 5, 9.9, 32.6},  {"a", "1", "fastball", 6, 11.9, 37.4},
                    {"a", "1", "change-up", 7, 9.4, 31.9},  {"a", "2", "fastball", 1, 12.4, 36.6},
                    {"a", "2", "change-up", 2, 11.1, 33.0}, {"a", "2", "fastball", 3, 13.1, 36.8},
                    {"a", "2", "fastball", 4, 12.2, 36.0},  {"a", "2", "change-up", 5, 11.9, 33.4},
                    {"a", "2", "fastball", 6, 13.9, 37.7},  {"b", "1", "fastball", 1, 20.3, 40.2},
                    {"b", "1", "fastball", 2, 21.7, 40.9},  {"b", "1", "fastball", 3, 20.9, 40.1},
                    {"b", "1", "fastball", 4, 22.4, 41.4},  {"b", "1", "fastball", 5, 21.1, 40.8},
                    {"b", "1", "change-up", 6, 18.0, 35.0}};

Pitches of_few(bool numbered) {
  Pitches pitches;
  pitches.quantities = {{"force", "N"}};
  for (const Row& row : few) {
    Pitch pitch;
    pitch.athlete = row.athlete;
    pitch.session = row.session;
    pitch.pitch_type = row.type;
    if (numbered) pitch.number = row.number;
    pitch.quantities = {Measured{row.x}};
    pitch.ball_speed = Measured{row.y};
    pitches.rows.push_back(pitch);
  }
  return pitches;
}

}  // namespace

TEST_CASE("throws are compared within athlete, session and type", "[relate][strata]") {
  // NumPy 1.24 least squares on a column for each of the six cells, then r of what is left, its
  // p by SciPy 1.10's t with 19 - 6 - 1 degrees of freedom.
  const auto report = moundwork::relate::relate(of_few(false), quick());
  const Relation& r = report.relations[0];
  CHECK(r.repeated_measures.r == Approx(0.933482853987).epsilon(1e-10));
  CHECK(r.repeated_measures.df == 12.0);
  CHECK(r.repeated_measures.p == Approx(1.0823545980188628e-06).epsilon(1e-8));
  CHECK(r.within_slope.value == Approx(0.747930012914).epsilon(1e-10));
  CHECK(r.strata.n == 5);
  CHECK(r.strata.left_out == 1);
  CHECK(r.strata.by == std::vector<std::string>{"session", "pitch_type"});
  CHECK(std::isnan(r.given_order.r));
  CHECK(std::any_of(report.notes.begin(), report.notes.end(), [](const std::string& note) {
    return note.find("6 change-up, 13 fastball") != std::string::npos;
  }));
}

TEST_CASE("where the order is known a line along each session is taken out", "[relate][strata]") {
  // The same with a column for the throws' order in each of the three sessions.
  const auto report = moundwork::relate::relate(of_few(true), quick());
  const Relation& r = report.relations[0];
  CHECK(r.given_order.r == Approx(0.914193574368).epsilon(1e-10));
  CHECK(r.within_slope.value == Approx(0.804904338950).epsilon(1e-10));
  CHECK(r.given_order.df == Approx(9.0 * (1.0 - r.likeness) / (1.0 + r.likeness)));
  CHECK(r.repeated_measures.df == 12.0);
  CHECK(tested_within(r).r == r.given_order.r);
}

TEST_CASE("without anything told, athletes are all that is told apart", "[relate][strata]") {
  auto pitches = of_few(false);
  for (Pitch& pitch : pitches.rows) pitch.session = pitch.pitch_type = {};
  const auto report = moundwork::relate::relate(pitches, quick());
  CHECK(report.relations[0].strata.by.empty());
  CHECK(report.relations[0].repeated_measures.df == 19.0 - 2.0 - 1.0);
}

TEST_CASE("types, days and efforts make no relation of nothing", "[relate][strata]") {
  // Within a type nothing goes with anything; between types and days both differ a lot.
  Pitches pitches;
  pitches.quantities = {{"force", "N"}};
  Random random(5, 0);
  for (int session = 0; session < 3; ++session)
    for (int number = 1; number <= 16; ++number) {
      Pitch pitch;
      pitch.athlete = "A-01";
      pitch.session = std::to_string(session);
      pitch.number = number;
      pitch.pitch_type = number % 2 == 0 ? "fastball" : "change-up";
      pitch.effort = number % 4 < 2 ? 1.0 : 0.8;
      const double level = 5.0 * session + (number % 2 == 0 ? 4.0 : 0.0) + 3.0 * pitch.effort;
      pitch.quantities = {Measured{level + random.normal()}};
      pitch.ball_speed = Measured{30.0 + level + random.normal()};
      pitches.rows.push_back(pitch);
    }
  const auto told = moundwork::relate::relate(pitches, quick());
  CHECK(std::abs(told.relations[0].given_order.r) < 0.5);
  CHECK(told.relations[0].strata.by == std::vector<std::string>{"session", "pitch_type", "effort"});
  CHECK(told.relations[0].pearson.r > 0.8);
}

TEST_CASE("athletes are compared at equal mass, height and age", "[relate][equal_size]") {
  // NumPy 1.24 least squares on ones, log mass, height and age; SciPy 1.10's t with 16 - 5 degrees
  // of freedom. Invented athletes.
  constexpr double age[]{13, 15, 23, 20, 13, 18, 19, 14, 22, 14, 17, 19, 18, 20, 22, 25};
  constexpr double height[]{1.74, 1.74, 1.97, 1.84, 1.71, 1.9,  1.86, 1.7,
                            1.88, 1.76, 1.91, 1.81, 1.8,  1.91, 1.84, 1.93};
  constexpr double mass[]{54.8, 52.9, 68.0, 61.5, 33.6, 69.5, 51.9, 38.1,
                          61.9, 55.2, 59.0, 47.8, 53.9, 61.9, 67.2, 69.9};
  constexpr double x[]{279.8, 297.8, 333.8, 279.7, 185.5, 365.0, 253.1, 167.0,
                       316.4, 201.2, 315.7, 253.7, 220.3, 311.3, 307.1, 372.2};
  constexpr double y[]{30.97, 31.93, 36.06, 35.23, 28.41, 34.78, 33.46, 30.33,
                       35.93, 31.77, 34.53, 31.48, 34.44, 34.43, 34.32, 33.74};
  Pitches pitches;
  pitches.quantities = {{"force", "N"}};
  for (int i = 0; i < 16; ++i) {
    Pitch pitch;
    pitch.athlete = "A" + std::to_string(i);
    pitch.age = age[i];
    pitch.height = height[i];
    pitch.mass = mass[i];
    pitch.quantities = {Measured{x[i]}};
    pitch.ball_speed = Measured{y[i]};
    pitches.rows.push_back(pitch);
  }
  const auto report = moundwork::relate::relate(pitches, quick());
  const EqualSize& equal = report.relations[0].equal_size;
  CHECK(equal.given == std::vector<std::string>{"mass", "height", "age"});
  CHECK(equal.correlation.r == Approx(-0.450876259111).epsilon(1e-9));
  CHECK(equal.correlation.df == 11.0);
  CHECK(equal.correlation.p == Approx(0.12202759814857575).epsilon(1e-9));
  CHECK(equal.slope.value == Approx(-0.015015960948).epsilon(1e-8));
  // The plain correlation says the opposite of athletes who are bigger or older.
  CHECK(report.relations[0].between.r > 0.5);
  CHECK(report.relations[0].between_verdict == Verdict::cannot_tell);

  SECTION("without masses size cannot be told from technique") {
    for (Pitch& pitch : pitches.rows) pitch.mass = std::nan("");
    const auto without = moundwork::relate::relate(pitches, quick());
    CHECK(without.relations[0].between_verdict == Verdict::cannot_tell);
    CHECK(without.relations[0].says.find("size cannot be told from technique") !=
          std::string::npos);
    CHECK(without.tests_between == 0);
  }
  SECTION("ten athletes more than covariates are wanted") {
    pitches.rows.resize(12);
    const auto twelve = moundwork::relate::relate(pitches, quick());
    CHECK(std::isnan(twelve.relations[0].equal_size.correlation.r));
    CHECK(twelve.relations[0].says.find("which takes 13") != std::string::npos);
  }
}

TEST_CASE("what is shown has the limits of what was picked out", "[relate][selected]") {
  // Two real, eight noise.
  auto pitches = relate_support::invented(1, 60, 0.08, 4);
  Random random(7, 0);
  for (int extra = 0; extra < 6; ++extra) {
    pitches.quantities.push_back({"noise_" + std::to_string(extra), ""});
    for (auto& row : pitches.rows) row.quantities.push_back(Measured{random.normal()});
  }
  pitches.quantities.push_back({"copy", ""});
  for (auto& row : pitches.rows)
    row.quantities.push_back(Measured{row.quantities[0].value + random.normal(0.0, 6.0)});
  const auto report = moundwork::relate::relate(pitches, quick());
  int shown = 0;
  for (const Relation& r : report.relations) shown += r.within_verdict == Verdict::shown ? 1 : 0;
  REQUIRE(shown == 2);
  REQUIRE(report.tests_within == 9);
  const Relation& first = report.relations[0];
  const Relation& second = report.relations.back();
  // Benjamini and Yekutieli 2005: 1 - q R / m; of the strongest alone 1 - q / m.
  CHECK(first.within_selected.strongest);
  CHECK(first.within_selected.level == Approx(1.0 - 0.05 / 9.0));
  CHECK(second.within_selected.level == Approx(1.0 - 0.05 * 2.0 / 9.0));
  CHECK_FALSE(second.within_selected.strongest);
  // Fisher's interval with the normal's quantile of 0.5 + level / 2: 2.7729 for 1 - 0.05 / 9.
  const double z = std::atanh(first.given_order.r),
               se = 1.0 / std::sqrt(first.given_order.df - 1.0);
  CHECK(first.within_selected.correlation.low == Approx(std::tanh(z - 2.7729 * se)).epsilon(1e-3));
  CHECK(first.says.find("the strongest of 9 tested, so expect less of it") != std::string::npos);
  CHECK(first.says.find("load the arm more") != std::string::npos);
  CHECK(report.relations[2].within_selected.level != report.relations[2].within_selected.level);
}
