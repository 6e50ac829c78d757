// SPDX-License-Identifier: GPL-3.0-or-later
// Stations that are set up so that a foot stands where the other's force is measured, and what the
// analysis says of their throws.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::model;

namespace {

constexpr int pitches = 2;

struct Outcome {
  int found = 0;
  int flagged = 0;   // throws with a foot on the other's plate
  int left_out = 0;  // landings that could not be measured
};

template <class Flags>
int count_of(const Flags& flags, const std::string& key) {
  return static_cast<int>(
      std::count_if(flags.begin(), flags.end(), [&](const auto& flag) { return flag.key == key; }));
}

Outcome analysed(const SessionSettings& settings) {
  const support::Folder folder;
  const auto written = simulate_session(folder.path() / "one.h5", settings);
  REQUIRE(written);
  const auto reader = session::Reader::open(written->session);
  REQUIRE(reader);
  const auto analysis = pitch::analyse(*reader, {});
  REQUIRE(analysis);
  Outcome outcome;
  outcome.found = static_cast<int>(analysis->throws.size());
  for (const auto& one : analysis->throws)
    outcome.flagged += std::min(1, count_of(one.flags, "foot_on_other_plate"));
  outcome.left_out = count_of(analysis->remarks, "landing_left_out");
  return outcome;
}

SessionSettings session_of(std::uint64_t seed) {
  SessionSettings settings;
  settings.seed = seed;
  settings.athlete = static_cast<int>(1 + seed % 24);
  settings.compression = 0;
  settings.performance = {.pitches = pitches, .activities = false, .heel_cue = false};
  return settings;
}

// Where this athlete's lead foot usually lands, m: there the middle of one lead plate is.
double landing_of(SessionSettings settings) {
  settings.performance.pitches = 0;
  const support::Folder folder;
  const auto written = simulate_session(folder.path() / "none.h5", settings);
  REQUIRE(written);
  const auto reader = session::Reader::open(written->session);
  REQUIRE(reader);
  return plate::plate_frame(reader->session().plates.at(1).description)->centre.x();
}

}  // namespace

TEST_CASE("a landing on the back foot's plate is told, and not measured", "[misplaced]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    SessionSettings settings = session_of(seed);
    settings.station.feet_meet = landing_of(settings) + 0.35;
    const Outcome outcome = analysed(settings);
    CHECK(outcome.found == 0);
    CHECK(outcome.left_out == pitches);
  }
}

TEST_CASE("a lead foot that lands on both feet's plates is told on every throw", "[misplaced]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    SessionSettings settings = session_of(seed);
    settings.station.feet_meet = landing_of(settings);
    settings.station.lead_plates.plates = 2;
    const Outcome outcome = analysed(settings);
    CHECK(outcome.flagged == outcome.found);
    CHECK(outcome.flagged + outcome.left_out == pitches);
  }
}

TEST_CASE("a back foot that stands on the lead foot's plate too is told", "[misplaced]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    SessionSettings settings = session_of(seed);
    // Under the middle of the foot.
    settings.station.feet_meet = 0.06;
    const Outcome outcome = analysed(settings);
    CHECK(outcome.found == 0);
    CHECK(outcome.left_out == pitches);
  }
}

TEST_CASE("nothing is said where each foot stands on its own plates", "[misplaced]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    SessionSettings settings = session_of(seed);
    settings.performance.activities = true;
    if (seed % 2 == 0) {
      settings.station.back_plates.plates = 2;
      settings.station.lead_plates = {2, {1000.0, 500.0}};
    }
    const Outcome outcome = analysed(settings);
    CHECK(outcome.found == pitches);
    CHECK(outcome.flagged == 0);
    CHECK(outcome.left_out == 0);
  }
}
