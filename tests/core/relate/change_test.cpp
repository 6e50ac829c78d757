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
  CHECK(r.session_mdc == Approx(4.049048958).epsilon(1e-9));
  REQUIRE(r.session_icc);
  CHECK(r.session_icc->two_one.value == Approx(.887137227).epsilon(1e-8));
  REQUIRE(r.retest);
  CHECK(r.retest->standard_error == Approx(1.426901605).epsilon(1e-9));
  CHECK(r.session_df == 7.0);
  CHECK(holds(r.says, "8 athletes retested"));
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

TEST_CASE("with one athlete nobody is told apart, so the error of measurement is unknown, not 0",
          "[relate]") {
  const auto alone = repeatability(relate_support::invented(1, 20, 0.05, 7), {});
  REQUIRE_FALSE(alone.empty());
  for (const auto& one : alone) {
    CHECK(std::isnan(one.pitches.single.value));
    CHECK(std::isnan(one.pitch_sem));
  }
}

TEST_CASE("A difference is real only beyond the limit", "[relate]") {
  const auto report = find_changes(retested(), {}, {});
  REQUIRE(report);
  // Student's t for the 7 df of the typical error, 2.364624 (any t table): 2.3646 sqrt 2 1.4608.
  const auto& change = change_of(*report, "A7");
  CHECK(change.source == LimitSource::retest);
  CHECK(change.limit == Approx(2.364624 * std::sqrt(2.0) * 1.460797238).epsilon(1e-6));
  CHECK(change.difference == 4.0);
  CHECK_FALSE(change.real);
  CHECK(holds(change.says, "within what repeating explains"));

  auto leap = retested();
  add(leap, "leaper", "spring", 100.0);
  add(leap, "leaper", "autumn", 130.0);
  ChangeRequest request;
  request.typical_errors["braking_impulse"] = 1.460797238;
  const auto with = find_changes(leap, request, {});
  REQUIRE(with);
  const auto& real = change_of(*with, "leaper");
  CHECK(real.source == LimitSource::given);
  CHECK(real.limit == Approx(4.049048958).epsilon(1e-9));  // computed apart with NumPy
  CHECK(real.real);
  CHECK(holds(real.says, "a real change"));
  CHECK(holds(real.says, "30 N s more"));
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

TEST_CASE("Without a retest the scatter of pitches is a least limit, and it is said", "[relate]") {
  Pitches pitches;
  pitches.quantities = {{"braking_impulse", "N s"}};
  for (const double value : {100.0, 104.0, 98.0, 102.0}) add(pitches, "Ari", "one", value);
  for (const double value : {110.0, 114.0, 108.0, 112.0}) add(pitches, "Ari", "two", value);
  const auto report = find_changes(pitches, {}, {});
  REQUIRE(report);
  const auto& change = change_of(*report, "Ari");
  CHECK(change.source == LimitSource::pitches);
  // Equal variances of 20/3 and sizes of 4: Welch's df is 6, t = 2.446912 (any t table).
  CHECK(change.limit == Approx(2.446912 * std::sqrt(2.0 * 20.0 / 3.0 / 4.0)).epsilon(1e-6));
  CHECK(change.real);
  CHECK(holds(change.says, "days may differ by more"));
}

TEST_CASE("The scatter of few pitches widens the limit of a retest", "[relate]") {
  auto pitches = retested();
  for (const double value : {80.0, 120.0}) add(pitches, "wild", "spring", value);
  for (const double value : {85.0, 125.0}) add(pitches, "wild", "autumn", value);
  const auto report = find_changes(pitches, {}, {});
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
