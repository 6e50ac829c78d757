// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_throws.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <mutex>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/reader.h"
#include "drivers/virtual/player.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

TEST_CASE("a throw is measured while it is recorded, as it will be afterwards", "[recorder]") {
  // As it was, and played faster: the station file tells the recording's clock.
  const double pace = GENERATE(1.0, 4.0);
  CAPTURE(pace);
  const support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 3;
  settings.performance.pitches = 1;
  const auto made = model::simulate_session(folder / "made.h5", settings);
  if (!made) FAIL(made.error().sentence());
  double contact = 0.0;
  {
    const auto reader = session::Reader::open(folder / "made.h5");
    REQUIRE(reader);
    const auto analysis = pitch::analyse(*reader, {});
    REQUIRE(analysis);
    REQUIRE(analysis->throws.size() == 1);
    contact =
        analysis->throws[0].events[static_cast<std::size_t>(definitions::Event::lead_contact)];
  }
  const double from = std::max(0.0, contact - 10.0);
  auto player = Player::open(folder / "made.h5", folder / "ports", {pace, from});
  if (!player) FAIL(player.error().sentence());
  const auto station = read_station(folder / "ports/station.toml");
  if (!station) FAIL(station.error().sentence());
  session::Session session = station->session;
  session.athlete = player->session().athlete;
  session.conditions = player->session().conditions;
  auto capture = Capture::begin(*station, session, folder / "taken.h5");
  if (!capture) FAIL(capture.error().sentence());
  std::mutex mutex;
  std::vector<LiveThrow> found;
  std::string failure;
  LiveThrows live(
      **capture, {},
      [&](const LiveThrow& one) {
        const std::lock_guard lock(mutex);
        found.push_back(one);
      },
      [&](const Error& error) { failure = error.sentence(); });
  live.start();
  std::this_thread::sleep_for(500ms);  // until every port is open
  const auto begun = std::chrono::steady_clock::now();
  const auto played_for = [&] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun);
  };
  while (pace * played_for().count() < contact - from + 2.5) {
    REQUIRE(player->play_until(played_for()));
    std::this_thread::sleep_for(2ms);
  }
  REQUIRE((*capture)->end());
  live.stop();
  CAPTURE(failure);
  REQUIRE(found.size() == 1);
  CHECK(found[0].delay < 1.0 * pace);  // "within a second", on whatever machine the tests run

  const auto reader = session::Reader::open(folder / "taken.h5");
  REQUIRE(reader);
  const auto later = pitch::analyse(*reader, {});
  REQUIRE(later);
  REQUIRE(later->throws.size() == 1);
  for (const auto quantity :
       {definitions::Quantity::ball_speed, definitions::Quantity::braking_impulse,
        definitions::Quantity::drive_peak_force, definitions::Quantity::contact_to_release}) {
    const Measured now = found[0].thrown.measured(quantity);
    const Measured then = later->throws[0].measured(quantity);
    CAPTURE(definitions::entry(quantity).key);
    REQUIRE(now.known() == then.known());
    // The clock's fit and the zero see a little more of the session afterwards; a busy computer's
    // delays count as often as the session runs faster.
    if (now.known()) CHECK(std::abs(now.value - then.value) < 0.5 * std::sqrt(pace) * then.u);
  }
}
