// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/relation.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "core/relate/support.h"
#include "core/stats/reference_data.h"

using namespace moundwork::relate;
using moundwork::Measured;

namespace {

Settings quick() {
  Settings settings;
  settings.resample.resamples = 1000;
  return settings;
}

Pitches ph_pitches() {
  Pitches pitches;
  pitches.ball_speed = {"pH", ""};
  pitches.quantities = {{"PaCO2", "kPa"}};
  for (const auto& reading : reference::bland_altman) {
    Pitch row;
    row.athlete = std::to_string(reading.subject);
    row.ball_speed.value = reading.ph;
    row.quantities = {Measured{reading.paco2}};
    pitches.rows.push_back(row);
  }
  return pitches;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool says_nothing_of_causes(const Report& report) {
  return std::none_of(report.relations.begin(), report.relations.end(), [](const Relation& r) {
    return holds(r.says, "cause") || holds(r.says, "because") || holds(r.says, "effect") ||
           holds(r.says, "leads to");
  });
}

}  // namespace

TEST_CASE("A published table goes through to the published numbers", "[relate]") {
  const auto report = relate(ph_pitches(), quick());
  REQUIRE(report.relations.size() == 1);
  const auto& r = report.relations.front();
  // Bland and Altman 1995; NumPy 1.24 and lme4 1.1-31.
  CHECK(r.pitches == 47);
  CHECK(r.athletes == 8);
  CHECK(r.repeated_measures.r == Approx(-0.506769742233).epsilon(1e-11));
  CHECK(r.between.r == Approx(0.081773135).epsilon(1e-7));
  REQUIRE(r.mixed_model);
  CHECK(r.mixed_model->within.value == Approx(-0.108323047).epsilon(1e-8));
  CHECK(r.mixed_model->between.u == Approx(0.157078).epsilon(1e-5));
  CHECK(r.adjusted_p == Approx(r.repeated_measures.p));
  // With each subject left out in turn, the interval of the slope includes zero.
  CHECK(r.within_verdict == Verdict::shown_here);
  CHECK(r.between_verdict == Verdict::cannot_tell);
  CHECK(holds(r.says, "slower"));
  CHECK(holds(r.says, "may not hold for others"));
  CHECK(holds(r.says, "47 pitches of 8 athletes"));
  CHECK(holds(r.says, "size cannot be told from technique"));
  CHECK(says_nothing_of_causes(report));
}

TEST_CASE("One athlete: shown, with the trend and what could be shown", "[relate]") {
  const auto report = relate(relate_support::invented(1, 40, 0.06, 4), quick());
  REQUIRE(report.athletes == 1);
  const auto& r = report.relations[0];
  CHECK(r.repeated_measures.r == Approx(r.pearson.r).epsilon(1e-12));
  CHECK(r.within_verdict == Verdict::shown);
  CHECK(holds(r.says, "Within this athlete, pitches with 10 N s more braking impulse were"));
  // The stronger of two tested: 1 - 0.05 / 2 (Benjamini and Yekutieli 2005).
  CHECK(holds(r.says, "m/s faster (97.5 % interval"));
  CHECK(holds(r.says, "40 pitches"));
  CHECK_FALSE(r.mixed_model);
  CHECK(std::isnan(r.between.r));
  CHECK(r.between_verdict == Verdict::undefined);
  // Forty pairs less the line along the session: tanh((1.959964 + 0.841621) / sqrt 36), by hand.
  CHECK(r.likeness == 0.0);
  CHECK(r.smallest_r == Approx(std::tanh(2.801585 / std::sqrt(36.0))).epsilon(1e-6));
  CHECK(r.pitches_needed == 86.0);
  CHECK(report.trends.size() == 3);
  CHECK(report.tests_within == 2);
  CHECK(report.tests_between == 0);
  CHECK(says_nothing_of_causes(report));
}

TEST_CASE("Too few pitches get cannot tell, with how many would do", "[relate]") {
  auto pitches = relate_support::invented(1, 6, 0.0, 11);
  for (auto& row : pitches.rows) row.number = std::nan("");
  const auto report = relate(pitches, quick());
  for (const auto& r : report.relations) {
    CHECK(r.within_verdict == Verdict::cannot_tell);
    CHECK(holds(r.says, "cannot tell"));
    CHECK(holds(r.says, "About 85 pitches would do for an r of 0.3"));
  }
}

TEST_CASE("Many pitches without a relation rule one out", "[relate]") {
  const auto report = relate(relate_support::invented(20, 30, 0.0, 3), quick());
  CHECK(report.relations[1].within_verdict == Verdict::little);
  CHECK(holds(report.relations[1].says, "hardly go together"));
}

TEST_CASE("The count of tests raises the p values", "[relate]") {
  auto pitches = relate_support::invented(10, 12, 0.02, 5);
  const auto two = relate(pitches, quick());
  for (int extra = 0; extra < 20; ++extra) {
    pitches.quantities.push_back({"noise_" + std::to_string(extra), ""});
    moundwork::Random random(99, static_cast<std::uint64_t>(extra));
    for (auto& row : pitches.rows) row.quantities.push_back(Measured{random.normal()});
  }
  const auto many = relate(pitches, quick());
  CHECK(two.tests_within == 2);
  CHECK(many.tests_within == 22);
  CHECK(many.relations[0].repeated_measures.p == two.relations[0].repeated_measures.p);
  CHECK(many.relations[0].adjusted_p >= two.relations[0].adjusted_p);
  CHECK(many.relations[0].adjusted_p > tested_within(many.relations[0]).p);
}

TEST_CASE("Missing values, constants and lonely rows are counted and said", "[relate]") {
  auto pitches = relate_support::invented(9, 5, 0.05, 6);
  pitches.rows[0].ball_speed = {};
  pitches.rows[1].athlete.clear();
  pitches.rows[2].quantities[0] = {};
  for (auto& row : pitches.rows) row.quantities[1].value = 1.5;
  const auto report = relate(pitches, quick());
  CHECK(report.rows == 45);
  CHECK(report.rows_left_out == 2);
  CHECK(report.relations[0].pitches == 42);
  CHECK(report.relations[0].left_out == 3);
  const auto& constant = report.relations[1];
  CHECK(std::isnan(constant.pearson.r));
  CHECK(constant.within_verdict == Verdict::undefined);
  CHECK(holds(constant.says, "Nothing to relate"));
  REQUIRE_FALSE(constant.notes.empty());
  CHECK(holds(constant.notes[0], "1.5 m in every pitch"));
  CHECK(report.tests_within == 1);  // a test that cannot be made does not count
}

TEST_CASE("One pitch each leaves only the comparison between athletes", "[relate]") {
  const auto report = relate(relate_support::invented(30, 1, 0.05, 8), quick());
  const auto& r = report.relations[0];
  CHECK(std::isnan(r.repeated_measures.r));
  CHECK(std::isfinite(r.between.r));
  CHECK_FALSE(r.mixed_model);
  CHECK(holds(r.no_mixed_model, "one pitch"));
  CHECK(holds(r.says, "nothing can be told from one pitch each"));
}

TEST_CASE("Hardly any rows never crash", "[relate]") {
  for (int rows = 0; rows <= 3; ++rows)
    for (int athletes = 1; athletes <= 2; ++athletes) {
      auto pitches = relate_support::invented(athletes, 3, 0.05, 9);
      pitches.rows.resize(static_cast<std::size_t>(rows));
      const auto report = relate(pitches, quick());
      REQUIRE(report.relations.size() == 2);
      CHECK(report.relations[0].within_verdict != Verdict::shown);
      CHECK_FALSE(report.relations[0].says.empty());
    }
  CHECK(relate(Pitches{}, quick()).relations.empty());
}

TEST_CASE("three athletes tell no correlation at equal mass", "[relate]") {
  // n - 3 degrees of freedom (Fisher 1924): with none left r is 1 or -1 whatever was measured.
  CHECK(std::isnan(
      relate(relate_support::invented(3, 5, 0.05, 12), quick()).relations[0].between_for_mass.r));
  CHECK(std::isfinite(
      relate(relate_support::invented(4, 5, 0.05, 12), quick()).relations[0].between_for_mass.r));
}

TEST_CASE("Mass explains a relation between athletes", "[relate]") {
  // Made so that both follow mass and nothing else: the partial correlation must come near zero.
  auto pitches = relate_support::invented(60, 3, 0.0, 12);
  for (auto& row : pitches.rows) {
    row.quantities[0].value += 5.0 * (row.mass - 88.0);
    row.ball_speed.value += 0.5 * (row.mass - 88.0);
  }
  const auto report = relate(pitches, quick());
  const auto& r = report.relations[0];
  CHECK(report.has_mass);
  CHECK(r.between.r > 0.6);
  CHECK(std::abs(r.between_for_mass.r) < 0.35);  // 2.7 standard errors of r at 60 athletes
  REQUIRE(r.mixed_model_for_mass);
  CHECK(std::abs(r.mixed_model_for_mass->between.value) < r.mixed_model->between.value);
}

TEST_CASE("The drift of a session is taken out on request", "[relate]") {
  // Both rise with the pitch number and have nothing else in common.
  auto pitches = relate_support::invented(6, 30, 0.0, 13);
  for (auto& row : pitches.rows) {
    row.quantities[0].value += 2.0 * row.number;
    row.ball_speed.value += 0.1 * row.number;
  }
  const auto report = relate(pitches, quick());
  const auto& r = report.relations[0];
  CHECK(r.repeated_measures.r > 0.5);
  CHECK(std::abs(r.given_order.r) < 0.23);  // three standard errors at df 167
  REQUIRE(report.trends.size() == 3);
  CHECK(report.trends[0].per_pitch.value == Approx(0.1).margin(0.02));
  CHECK(holds(report.trends[0].says, "rose over the session"));
  CHECK(report.trends[1].sessions == 6);
}

TEST_CASE("Measurement uncertainty is carried to the slope", "[relate]") {
  auto pitches = relate_support::invented(10, 200, 0.05, 14);
  moundwork::Random random(15, 0);
  for (auto& row : pitches.rows) {
    row.quantities[0].value += random.normal(0.0, 6.0);
    row.quantities[0].u = 6.0;
  }
  const auto report = relate(pitches, quick());
  const auto& a = report.relations[0].attenuation;
  // Spread 10, error 6: reliability 100 / 136, true slope 0.05; four standard errors either way.
  CHECK(a.reliability == Approx(100.0 / 136.0).margin(0.04));
  CHECK(a.plain.value == Approx(0.05 * 100.0 / 136.0).margin(4.0 * a.plain.u));
  CHECK(a.corrected.value == Approx(0.05).margin(4.0 * a.corrected.u));
  CHECK(a.corrected.u > a.plain.u);
  for (auto& row : pitches.rows) row.quantities[0].u = 20.0;
  const auto hopeless = relate(pitches, quick());
  CHECK(std::isnan(hopeless.relations[0].attenuation.corrected.value));
  CHECK(std::any_of(hopeless.relations[0].notes.begin(), hopeless.relations[0].notes.end(),
                    [](const auto& note) { return holds(note, "as large as the spread"); }));
}

TEST_CASE("Neighbouring pitches that resemble each other are noticed", "[relate]") {
  auto pitches = relate_support::invented(1, 60, 0.0, 16);
  for (std::size_t i = 1; i < pitches.rows.size(); ++i)
    pitches.rows[i].ball_speed.value =
        0.9 * pitches.rows[i - 1].ball_speed.value + 0.1 * pitches.rows[i].ball_speed.value;
  for (auto& row : pitches.rows) row.number = std::nan("");
  const auto report = relate(pitches, quick());
  CHECK(report.relations[0].neighbour_correlation > 0.5);
  CHECK(std::any_of(report.relations[0].notes.begin(), report.relations[0].notes.end(),
                    [](const auto& note) { return holds(note, "narrower than they should be"); }));
}

TEST_CASE("A table of one ball speed says so", "[relate]") {
  auto pitches = relate_support::invented(3, 5, 0.0, 17);
  for (auto& row : pitches.rows) row.ball_speed.value = 38.25;
  const auto report = relate(pitches, quick());
  CHECK(report.relations[0].within_verdict == Verdict::undefined);
  REQUIRE_FALSE(report.notes.empty());
  CHECK(std::any_of(report.notes.begin(), report.notes.end(),
                    [](const auto& note) { return holds(note, "38.25 m/s in every pitch"); }));
}

TEST_CASE("What holds for many athletes, for these, and for too few of them", "[relate]") {
  const auto many = relate(relate_support::invented(20, 12, 0.05, 30), quick());
  CHECK(many.relations[0].within_verdict == Verdict::shown);
  CHECK(holds(many.relations[0].says, "Within athletes, pitches with"));
  CHECK(many.relations[0].slope_by_athlete.df == 19.0);

  const auto few = relate(relate_support::invented(4, 30, 0.05, 31), quick());
  CHECK(few.relations[0].within_verdict == Verdict::shown_here);
  CHECK(holds(few.relations[0].says, "So few athletes say little of others"));
  CHECK(std::isnan(few.relations[0].slope_by_athlete.value));

  // Half the athletes faster and half slower with it, one of them much more.
  auto mixed = relate_support::invented(10, 40, 0.0, 32);
  for (auto& row : mixed.rows) {
    const double own = row.athlete == "A1" ? 0.4 : (row.athlete.back() % 2 ? 0.03 : -0.03);
    row.ball_speed.value += own * (row.quantities[0].value - 150.0);
  }
  const auto differing = relate(mixed, quick());
  CHECK(differing.relations[0].adjusted_p <= 0.05);
  CHECK(differing.relations[0].within_verdict == Verdict::shown_here);
  CHECK(holds(differing.relations[0].says, "Within these athletes"));
}

TEST_CASE("Enough pitches for one worth knowing and still open: how many more", "[relate]") {
  // r 0.2 at 90 pitches: the interval reaches 0.3, the adjusted p does not reach 0.05.
  auto pitches = relate_support::invented(1, 90, 0.0, 33);
  for (std::size_t i = 0; i < 90; ++i) {
    pitches.rows[i].quantities[1].value = i % 2 ? 1.0 : -1.0;
    pitches.rows[i].quantities[0].value = i % 4 < 2 ? 1.0 : -1.0;
    pitches.rows[i].ball_speed.value = (i % 8 < 4 ? 1.0 : -1.0) + 0.18 * (i % 2 ? 1.0 : -1.0);
  }
  const auto report = relate(pitches, quick());
  const auto& r = report.relations[1];
  CHECK(r.pearson.r == Approx(0.18).margin(0.02));
  CHECK(r.within_verdict == Verdict::cannot_tell);
  CHECK(holds(r.says, "pitches would do for an r of 0.18"));
}

TEST_CASE("Many ties are said", "[relate]") {
  auto pitches = relate_support::invented(1, 20, 0.05, 34);
  for (auto& row : pitches.rows)
    row.quantities[0].value = 10.0 * std::round(row.quantities[0].value / 10.0);
  const auto report = relate(pitches, quick());
  CHECK(report.relations[0].tied_values > 10);
  CHECK(std::any_of(report.relations[0].notes.begin(), report.relations[0].notes.end(),
                    [](const auto& note) { return holds(note, "values are tied"); }));
  CHECK(report.relations[1].notes.empty());
}

TEST_CASE("One athlete's slope is NIST's certified one for Norris", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"x", ""}};
  for (std::size_t i = 0; i < 36; ++i) {
    Pitch row;
    row.athlete = "A";
    row.ball_speed.value = reference::norris_y[i];
    row.quantities = {Measured{reference::norris_x[i]}};
    pitches.rows.push_back(row);
  }
  const auto report = relate(pitches, quick());
  // NIST Statistical Reference Datasets.
  CHECK(report.relations[0].within_slope.value == Approx(1.00211681802045).epsilon(1e-12));
  CHECK(report.relations[0].within_slope.u == Approx(0.000429796848199937).epsilon(1e-10));
  CHECK(report.relations[0].within_slope.df == 34.0);
}
