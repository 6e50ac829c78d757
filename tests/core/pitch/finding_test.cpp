// SPDX-License-Identifier: GPL-3.0-or-later
// What is a throw, what is a zero, and what the simulated day says of both.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "core/foot/zero.h"
#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/pitch/throw_finder.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using definitions::Event;
using definitions::Quantity;

namespace {

constexpr double weight = 800.0;

foot::LoadTrace trace(double seconds_long) {
  foot::LoadTrace trace;
  const auto bins = static_cast<Eigen::Index>(seconds_long / foot::trace_bin);
  trace.vertical = Eigen::ArrayXf::Zero(bins);
  trace.forward = Eigen::ArrayXf::Zero(bins);
  return trace;
}

void put(Eigen::ArrayXf& series, double from, double to, double value) {
  for (Eigen::Index i = 0; i < series.size(); ++i)
    if (const double t = (static_cast<double>(i) + 0.5) * foot::trace_bin; t >= from && t < to)
      series(i) = static_cast<float>(value);
}

struct Pair {
  foot::LoadTrace back = trace(20), lead = trace(20);
};

// A drive of `drive` BW from a foot that stood `stance` s, then a landing that brakes `braking` BW.
Pair landing(double stance, double drive, double braking) {
  Pair pair;
  put(pair.back.vertical, 10 - stance, 10.1, weight);
  put(pair.back.forward, 9.7, 9.9, drive * weight);
  put(pair.lead.vertical, 10, 10.6, 1.5 * weight);
  put(pair.lead.forward, 10.05, 10.2, -braking * weight);
  return pair;
}

std::vector<double> find(const Pair& pair) {
  return pitch::find_throws(pair.back, pair.lead, weight, {});
}

}  // namespace

TEST_CASE("a drive and a braking landing are a throw, weaker ones are not") {
  REQUIRE(find(landing(2, 0.5, 0.9)).size() == 1);
  CHECK(find(landing(2, 0.5, 0.9)).front() == Approx(10.0).margin(0.01));
  CHECK(find(landing(2, 0.5, 0.2)).empty());     // brakes like a step
  CHECK(find(landing(2, 0.1, 0.9)).empty());     // jumped from elsewhere
  CHECK(find(landing(0.35, 0.5, 0.9)).empty());  // a runner's stance
}

TEST_CASE("gaps of missing samples are no throw and hide none beside them") {
  Pair pair = landing(2, 0.5, 0.9);
  put(pair.back.forward, 3, 4, NAN);
  put(pair.back.vertical, 3, 4, NAN);
  put(pair.lead.vertical, 3, 4, NAN);
  CHECK(find(pair).size() == 1);
}

TEST_CASE("a zero is read where nobody stands, follows creep and ignores a resting foot") {
  foot::LoadTrace t = trace(60);
  for (Eigen::Index i = 0; i < t.size(); ++i)
    t.vertical(i) = 12.0F + 4.0F * static_cast<float>(i) / static_cast<float>(t.size());
  put(t.vertical, 10, 20, 600);
  put(t.vertical, 30, 40, 45);  // a foot resting lightly, steady and near nought
  const auto stretches = foot::unloaded_stretches(t, {});
  REQUIRE(!stretches.empty());
  for (const auto& stretch : stretches) {
    CHECK(stretch.vertical == Approx(14.0).margin(2.1));
    CHECK((stretch.end <= 30.0 || stretch.begin >= 40.0));
  }
  const Eigen::ArrayXf tared = foot::tared_vertical(t, stretches);
  CHECK(tared(static_cast<Eigen::Index>(55 / foot::trace_bin)) == Approx(0.0).margin(0.1));
  const auto near = foot::nearest_stretch(stretches, 24.0, 25.0);
  CHECK(near->begin == Approx(24.0).margin(1.0));
  CHECK_FALSE(foot::nearest_stretch({}, 1.0, 2.0));
}

TEST_CASE("every throw of a simulated session is found, and nothing else", "[simulated]") {
  support::Folder folder;
  for (const int athlete : {1, 4, 9}) {
    model::SessionSettings settings;
    settings.seed = 77;
    settings.athlete = athlete;
    settings.performance.pitches = 6;
    settings.performance.activities =
        true;  // walking, warm-up swings, jogging, stepping on and off
    settings.compression = 0;
    const auto written = model::simulate_session(folder / "s.h5", settings);
    REQUIRE(written);
    const auto analysis = pitch::analyse(session::Reader::open(folder / "s.h5").value(), {});
    REQUIRE(analysis);
    const auto truth = nlohmann::json::parse(std::ifstream(written->truth)).at("throws");
    REQUIRE(analysis->throws.size() == truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i)
      CHECK(definitions::at(analysis->throws[i].events, Event::lead_contact) ==
            Approx(truth[i].at("events").at("lead_contact").get<double>()).margin(0.002));
  }
}

TEST_CASE("stated 95 % intervals cover the truth about as often as they say", "[simulated]") {
  support::Folder folder;
  const std::vector<Quantity> looked_at{
      Quantity::drive_peak_force,       Quantity::drive_impulse,
      Quantity::heel_toe_at_drive_peak, Quantity::braking_peak_force,
      Quantity::braking_impulse_whole,  Quantity::contact_to_release};
  int covered = 0;
  int all = 0;
  for (int seed = 5001; seed <= 5040; ++seed) {
    model::SessionSettings settings;
    settings.seed = static_cast<std::uint64_t>(seed);
    settings.athlete = 1 + seed % 24;
    settings.station.trigger = seed % 2 == 0;
    settings.compression = 0;
    const auto written = model::simulate_session(folder / "s.h5", settings);
    REQUIRE(written);
    const auto analysis = pitch::analyse(session::Reader::open(folder / "s.h5").value(), {});
    REQUIRE(analysis);
    REQUIRE(analysis->throws.size() == 1);
    const auto truth = nlohmann::json::parse(std::ifstream(written->truth)).at("throws").at(0);
    for (const Quantity quantity : looked_at) {
      const Measured found = analysis->throws[0].measured(quantity);
      const auto& value = truth.at("quantities").at(std::string(definitions::entry(quantity).key));
      if (!found.known() || value.is_null()) continue;
      ++all;
      covered += std::abs(found.value - value.get<double>()) <= 1.96 * found.u ? 1 : 0;
    }
  }
  // Binomial: 240 independent intervals of 95 % give fewer than 88 % or more than 99.6 % once in
  // some ten thousand tries.
  const double share = static_cast<double>(covered) / all;
  CHECK(all > 220);
  CHECK(share > 0.88);
  CHECK(share < 0.996);
}

TEST_CASE("doubts are flagged: clipped channels, no radar, a foot line from length",
          "[simulated]") {
  support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 11;
  settings.station.vertical_range = 1200.0;
  settings.station.radar = false;
  settings.station.microphone = false;
  settings.compression = 0;
  REQUIRE(model::simulate_session(folder / "s.h5", settings));
  const auto analysis = pitch::analyse(session::Reader::open(folder / "s.h5").value(), {});
  REQUIRE(analysis);
  REQUIRE(analysis->throws.size() == 1);
  std::vector<std::string> keys;
  for (const auto& flag : analysis->throws[0].flags) keys.push_back(flag.key);
  CHECK(std::count(keys.begin(), keys.end(), "clipped_channel") >= 1);
  CHECK(std::count(keys.begin(), keys.end(), "no_radar") == 1);
  CHECK(std::count(keys.begin(), keys.end(), "estimated_release") == 1);
  CHECK_FALSE(analysis->throws[0].measured(Quantity::ball_speed).known());
  // An estimated release says so in its uncertainty.
  CHECK(analysis->throws[0].measured(Event::release).u >= 0.0199);
}
