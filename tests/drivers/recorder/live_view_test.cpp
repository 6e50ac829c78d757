// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_view.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/model/day.h"
#include "core/session/reader.h"
#include "drivers/virtual/player.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

/// A recording of a simulated session through virtual ports, looked at on the way.
struct Played {
  support::Folder folder;
  std::optional<Player> player;
  std::unique_ptr<Capture> capture;

  explicit Played(double from) {
    model::SessionSettings settings;
    settings.seed = 5;
    settings.performance.pitches = 1;
    settings.station.errors.loss = false;
    if (const auto made = model::simulate_session(folder / "made.h5", settings); !made)
      FAIL(made.error().sentence());
    auto opened = Player::open(folder / "made.h5", folder / "ports", {1.0, from});
    if (!opened) FAIL(opened.error().sentence());
    player.emplace(std::move(*opened));
    const auto station = read_station(folder / "ports/station.toml");
    if (!station) FAIL(station.error().sentence());
    session::Session session = station->session;
    session.athlete = player->session().athlete;
    auto begun = Capture::begin(*station, session, folder / "taken.h5");
    if (!begun) FAIL(begun.error().sentence());
    capture = std::move(*begun);
    std::this_thread::sleep_for(400ms);  // until every port is open
  }
  void play(double length) {
    const auto begun = std::chrono::steady_clock::now();
    std::chrono::duration<double> time{0.0};
    while (time.count() < length) {
      time = std::chrono::steady_clock::now() - begun;
      REQUIRE(player->play_until(time));
      std::this_thread::sleep_for(2ms);
    }
  }
};

/// Vertical and forward lab force of a recorded plate, as the file has it (N, not tared).
plate::WrenchSeries recorded(const session::Reader& reader, const session::Plate& plate) {
  const auto raw = reader.read_raw(plate.device, 0, reader.sample_count(plate.device));
  REQUIRE(raw);
  const auto& channels = reader.session().devices[static_cast<std::size_t>(plate.device)].channels;
  Eigen::MatrixXd scaled(raw->rows(), 6);
  for (int c = 0; c < 6; ++c) {
    const auto& channel =
        channels[static_cast<std::size_t>(plate.channels[static_cast<std::size_t>(c)])];
    scaled.col(c) =
        (raw->col(plate.channels[static_cast<std::size_t>(c)]).array() - channel.offset) *
        channel.scale;
  }
  const auto map = plate::WrenchMap::make(plate.description);
  REQUIRE(map);
  return (*map)(scaled);
}

}  // namespace

TEST_CASE("what is shown live is what is recorded, less the zero, every peak kept", "[live_view]") {
  Played played(0.0);
  LiveSnapshot shown;
  {
    auto view = LiveView::begin(*played.capture);
    if (!view) FAIL(view.error().sentence());
    played.play(4.0);
    std::this_thread::sleep_for(100ms);
    shown = (*view)->snapshot(30.0);
    const auto stands = (*view)->stands(1.0);
    REQUIRE(stands.size() == 2);
    CHECK(stands[0].vertical.size() == 200);  // 5 ms bins
    // Asking for less gives the end of the same.
    const LiveSnapshot part = (*view)->snapshot(0.5);
    REQUIRE(part.plates[0].bins.size() == 100);
    CHECK(part.plates[0].first_bin + 100 ==
          shown.plates[0].first_bin + static_cast<std::int64_t>(shown.plates[0].bins.size()));
  }
  REQUIRE(played.capture->end());
  const auto reader = session::Reader::open(played.folder / "taken.h5");
  REQUIRE(reader);
  REQUIRE(shown.plates.size() == 2);
  for (std::size_t p = 0; p < 2; ++p) {
    const LivePlate& plate = shown.plates[p];
    REQUIRE(plate.zeroed);  // nobody is on the plates at the beginning
    CHECK(plate.not_shown == 0);
    REQUIRE(plate.bins.size() > 600);
    const plate::WrenchSeries wrench = recorded(*reader, reader->session().plates[p]);
    // The second half, when the zero no longer moves: bin k is rows 5 k to 5 k + 4.
    double worst = 0.0;
    for (std::size_t i = plate.bins.size() - 20; i < plate.bins.size(); ++i) {
      const auto row =
          static_cast<Eigen::Index>((plate.first_bin + static_cast<std::int64_t>(i)) * 5);
      const auto vertical = wrench.col(2).segment(row, 5);
      worst = std::max(worst, std::abs(vertical.mean() - plate.zero - plate.bins[i].force[2]));
      worst = std::max(worst, std::abs(vertical.minCoeff() - plate.zero - plate.bins[i].least[2]));
      worst =
          std::max(worst, std::abs(vertical.maxCoeff() - plate.zero - plate.bins[i].greatest[2]));
    }
    CHECK(worst < 0.02);
    // Times of display are those of the session, within the delay of a read.
    CHECK(std::abs(plate.time(plate.bins.size() - 1) - shown.now) < 0.3);
  }
}

TEST_CASE("a screen that looks away costs the recording nothing and is told what it missed",
          "[live_view]") {
  const support::Folder folder;
  const auto station =
      parse_station(support::virtual_station_text(1000.0), folder / "station.toml");
  REQUIRE(station);
  support::VirtualPlate back(folder / "back"), lead(folder / "lead");
  session::Session session = station->session;
  session.athlete.id = "t01";
  session.athlete.mass = {80.0, 0.1};
  CaptureSettings settings;
  settings.queues.display_blocks = 4;
  auto capture = Capture::begin(*station, session, folder / "s.h5", settings);
  if (!capture) FAIL(capture.error().sentence());
  (*capture)->devices()[0]->show(true);  // and nobody takes anything
  std::this_thread::sleep_for(1s);
  CHECK((*capture)->devices()[0]->health().not_displayed_rows > 100);
  CHECK((*capture)->devices()[1]->health().not_displayed_rows == 0);
  {
    auto view = LiveView::begin(**capture);
    REQUIRE(view);
    std::this_thread::sleep_for(500ms);
    const auto shown = (*view)->snapshot(10.0);
    // The samples say which row they are: 64 r + 2 in channel Fz of 0.01 N, pushed down by the
    // athlete. What was left out must not shift what came after it.
    const LivePlate& plate = shown.plates[0];
    CHECK(plate.not_shown > 100);
    std::optional<double> constant;
    int seen = 0;
    for (std::size_t i = 0; i < plate.bins.size(); ++i) {
      if (std::isnan(plate.bins[i].force[2])) continue;
      const auto bin = static_cast<double>(plate.first_bin + static_cast<std::int64_t>(i));
      const double here = std::abs(plate.bins[i].force[2]) - bin * 5.0 * 64.0 * 0.01;
      if (!constant) constant = here;
      CHECK(here == Approx(*constant).margin(0.05));
      ++seen;
    }
    CHECK(seen > 50);
  }
  REQUIRE((*capture)->end());
  CHECK((*capture)->devices()[0]->health().missing_rows == 0);
  const auto reader = session::Reader::open(folder / "s.h5");
  REQUIRE(reader);
  CHECK(reader->sample_count(0) > 1200);
}

TEST_CASE("a press of tare takes what lies on the plate as its zero", "[live_view]") {
  Played played(0.0);
  auto view = LiveView::begin(*played.capture);
  REQUIRE(view);
  played.play(0.8);
  (*view)->tare();
  played.play(0.8);
  std::this_thread::sleep_for(50ms);
  for (const LivePlate& plate : (*view)->snapshot(1.0).plates) {
    CHECK(plate.zeroed);
    CHECK(std::abs(plate.latest().force[2]) < 5.0);
    CHECK(plate.latest().least[2] < plate.latest().greatest[2]);
  }
}
