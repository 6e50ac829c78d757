// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/recording_session.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using drivers::recording_session;

namespace {

intake::Facts somebody() {
  intake::Facts facts;
  facts.athlete_id = "t01";
  facts.throws = session::Hand::right;
  facts.mass = {80.0, 0.2};
  return facts;
}

drivers::Station bench(const support::Folder& folder) {
  auto station =
      drivers::parse_station(support::virtual_station_text(1000.0), folder / "station.toml");
  if (!station) FAIL(station.error().sentence());
  return *station;
}

}  // namespace

TEST_CASE("a recording knows its instruments, its athlete and where it was made") {
  const support::Folder folder;
  std::ofstream(folder / "lab.toml") << "zone = \"Asia/Kathmandu\"\n";
  const auto session = recording_session(bench(folder), somebody(), folder / "s.h5");
  REQUIRE(session);
  CHECK(session->plates.size() == 2);
  CHECK(session->athlete.id == "t01");
  CHECK(session->zone.name == "Asia/Kathmandu");
  CHECK(session->zone.utc_offset_s == 20700);  // 5:45, the IANA time zone database
  CHECK_FALSE(session->foot_line);
}

TEST_CASE("a recording without a stance has a foot line from the foot's length, else the height") {
  const support::Folder folder;
  const drivers::Station station = bench(folder);
  auto facts = somebody();
  const auto length_of = [&] {
    const auto session = recording_session(station, facts, folder / "s.h5");
    REQUIRE(session);
    REQUIRE(session->foot_line);
    return (session->foot_line->toe - session->foot_line->heel).norm();
  };
  facts.height = {1.80, 0.01};
  // Foot length over stature: Drillis and Contini 1966, from memory.
  CHECK(length_of() == Approx(0.152 * 1.80));
  facts.foot_length = 0.29;
  CHECK(length_of() == Approx(0.29));
  facts.stance = session::FootLine{
      {0.0, 0.1, 0.0}, {0.0, -0.15, 0.0}, 0.004, session::FootLineSource::measured_points};
  CHECK(length_of() == Approx(0.25));
}

TEST_CASE("a recording of an athlete whom nobody can be is refused in a sentence") {
  const support::Folder folder;
  const drivers::Station station = bench(folder);
  const auto refused = [&](auto alter) {
    auto facts = somebody();
    alter(facts);
    const auto session = recording_session(station, facts, folder / "s.h5");
    REQUIRE_FALSE(session);
    CHECK_FALSE(session.error().what.empty());
  };
  refused([](auto& facts) { facts.mass = {850.0, 0.2}; });
  refused([](auto& facts) { facts.mass = {}; });
  refused([](auto& facts) { facts.height = {18.0, 0.01}; });
  refused([](auto& facts) { facts.born = "2007-02-29"; });
  refused([](auto& facts) { facts.foot_length = 2.9; });
  refused([](auto& facts) { facts.conditions.temperature = {-270.0, 1.0}; });
  refused([](auto& facts) { facts.zone = "Mars/Olympus"; });
}
