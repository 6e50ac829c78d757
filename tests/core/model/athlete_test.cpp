// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/athlete.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "core/model/performance.h"

using namespace moundwork;
using namespace moundwork::model;
using definitions::Event;
using definitions::Quantity;

namespace {

struct Row {
  ModelAthlete athlete;
  Truth truth;
  double speed;
};

// One pitch of each of 200 athletes, made once for all tests.
const std::vector<Row>& population() {
  static const std::vector<Row> rows = [] {
    std::vector<Row> all;
    for (int i = 1; i <= 200; ++i) {
      Random random(2024, static_cast<std::uint64_t>(i));
      Row row{draw_athlete(random, i), {}, 0.0};
      const auto drawn =
          draw_pitch(row.athlete, place_back_foot(row.athlete, 0.0), 0.0, 0.0, random);
      row.truth = find_truth(scene_of(drawn.pitch, 0.0));
      row.speed = ball_speed(row.athlete, drawn.plan, row.truth, false);
      all.push_back(row);
    }
    return all;
  }();
  return rows;
}

void within(Quantity quantity, double low, double high) {
  INFO(definitions::entry(quantity).key);
  for (const Row& row : population()) {
    REQUIRE(row.truth[quantity] >= low);
    REQUIRE(row.truth[quantity] <= high);
  }
}

double correlation(const std::vector<double>& x, const std::vector<double>& y) {
  const auto n = static_cast<double>(x.size());
  double mx = 0.0;
  double my = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mx += x[i] / n;
    my += y[i] / n;
  }
  double xx = 0.0;
  double yy = 0.0;
  double xy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mx) * (x[i] - mx);
    yy += (y[i] - my) * (y[i] - my);
    xy += (x[i] - mx) * (y[i] - my);
  }
  return xy / std::sqrt(xx * yy);
}

void spans_a_lab() {
  double lightest = 1e9;
  double heaviest = 0.0;
  double shortest = 1e9;
  double tallest = 0.0;
  int left = 0;
  for (const Row& row : population()) {
    lightest = std::min(lightest, row.athlete.mass);
    heaviest = std::max(heaviest, row.athlete.mass);
    shortest = std::min(shortest, row.athlete.height);
    tallest = std::max(tallest, row.athlete.height);
    left += row.athlete.hand == session::Hand::left ? 1 : 0;
    REQUIRE(row.speed >= 18.0);
    REQUIRE(row.speed <= 43.0);
    REQUIRE_FALSE(row.athlete.name.empty());
  }
  // The ranges asked of the model: 30 to 110 kg, 1.35 to 2.0 m, both hands.
  CHECK(lightest >= 30.0);
  CHECK(lightest < 40.0);
  CHECK(heaviest <= 110.0);
  CHECK(heaviest > 95.0);
  CHECK(shortest >= 1.35);
  CHECK(shortest < 1.45);
  CHECK(tallest <= 2.0);
  CHECK(tallest > 1.9);
  CHECK(left > 25);
  CHECK(left < 85);
}

void every_value_is_defined() {
  for (const Row& row : population()) {
    for (const double value : row.truth.events) REQUIRE(std::isfinite(value));
    for (const double value : row.truth.quantities) REQUIRE(std::isfinite(value));
    const auto& t = row.truth;
    REQUIRE(t[Event::back_leg_loaded] < t[Event::drive_start]);
    REQUIRE(t[Event::drive_start] < t[Event::drive_peak]);
    REQUIRE(t[Event::drive_peak] < t[Event::lead_contact]);
    REQUIRE(t[Event::lead_contact] < t[Event::vertical_peak]);
    REQUIRE(t[Event::braking_peak] < t[Event::release]);
  }
}

void values_are_a_pitchers() {
  // Means of published studies: drive 0.35 BW, braking 0.72 BW; the real pitch of
  // the reference data 0.68 and 1.42 BW; the widths about them are from memory.
  within(Quantity::drive_peak_force_bw, 0.25, 0.80);
  within(Quantity::braking_peak_force_bw, 0.40, 1.55);
  // Vertical peak 1.5 BW (from memory) to 2.02 +- 0.43 BW (sourced), the real pitch 2.39 BW.
  within(Quantity::vertical_peak_force_bw, 1.0, 2.5);
  // Contact to release 0.145 to 0.150 s (from memory), the real pitch 0.127 s.
  within(Quantity::contact_to_release, 0.110, 0.170);
  // Drive peak 100 to 250 ms before contact, vertical peak 40 to 90 ms and braking peak 50 to 110
  // ms after it, back foot off up to 250 ms after it (all from memory).
  within(Quantity::drive_peak_to_contact, 0.100, 0.260);
  within(Quantity::both_feet_overlap, 0.010, 0.250);
  for (const Row& row : population()) {
    const double contact = row.truth[Event::lead_contact];
    REQUIRE(row.truth[Event::vertical_peak] - contact >= 0.030);
    REQUIRE(row.truth[Event::vertical_peak] - contact <= 0.095);
    REQUIRE(row.truth[Event::braking_peak] - contact >= 0.045);
    REQUIRE(row.truth[Event::braking_peak] - contact <= 0.115);
  }
  // Braking goes on at release (from memory), so part of it is still to come.
  within(Quantity::braking_fraction_by_release, 0.40, 0.97);
  // Stride 80 to 90 % of height for adults, less for children (from memory).
  within(Quantity::stride_length_height, 58.0, 92.0);
  within(Quantity::heel_toe_at_drive_peak, 30.0, 90.0);
  within(Quantity::heel_toe_load_mean, 15.0, 70.0);
  within(Quantity::load_tilt, 0.15, 0.75);
  within(Quantity::balance_path_length, 0.005, 0.30);
  within(Quantity::balance_sway_area, 1e-6, 0.005);
  within(Quantity::drive_impulse_per_mass, 0.5, 3.0);
}

}  // namespace

// One test, so that a runner with a process a test draws the population once.
TEST_CASE("200 athletes and a pitch of each are what a lab meets") {
  spans_a_lab();
  every_value_is_defined();
  values_are_a_pitchers();
}

TEST_CASE("ball speed goes with age and force between athletes, and with force within one") {
  std::vector<double> speed;
  std::vector<double> braking;
  for (const Row& row : population()) {
    speed.push_back(row.speed);
    braking.push_back(row.truth[Quantity::braking_impulse_per_mass]);
  }
  CHECK(correlation(braking, speed) > 0.2);
  CHECK(correlation(braking, speed) < 0.95);

  double within_sum = 0.0;
  constexpr int athletes = 12;
  constexpr int pitches = 25;
  for (int i = 1; i <= athletes; ++i) {
    Random random(77, static_cast<std::uint64_t>(i));
    const ModelAthlete athlete = draw_athlete(random, i);
    std::vector<double> one_speed;
    std::vector<double> one_braking;
    for (int j = 0; j < pitches; ++j) {
      const auto drawn = draw_pitch(athlete, place_back_foot(athlete, 0.0), 0.0, 0.0, random);
      const Truth truth = find_truth(scene_of(drawn.pitch, 0.0));
      one_speed.push_back(ball_speed(athlete, drawn.plan, truth, false));
      one_braking.push_back(truth[Quantity::braking_impulse_per_mass]);
    }
    within_sum += correlation(one_braking, one_speed);
  }
  CHECK(within_sum / athletes > 0.15);
  CHECK(within_sum / athletes < 0.9);
}

TEST_CASE("a cue onto the heel moves the centre of pressure toward the heel by as much") {
  Random random(5, 0);
  const ModelAthlete athlete = draw_athlete(random, 1);
  const FootPlace foot = place_back_foot(athlete, 0.0);
  double free = 0.0;
  double cued = 0.0;
  constexpr int pitches = 30;
  for (int i = 0; i < pitches; ++i) {
    free += find_truth(scene_of(draw_pitch(athlete, foot, 0.0, 0.0, random).pitch,
                                0.0))[Quantity::heel_toe_load_mean] /
            pitches;
    cued += find_truth(scene_of(draw_pitch(athlete, foot, 0.0, 10.0, random).pitch,
                                0.0))[Quantity::heel_toe_load_mean] /
            pitches;
  }
  // Scatter of 2 points a pitch and sway: three standard errors of the difference of two means.
  CHECK(free - cued == Approx(10.0).margin(2.5));
}
