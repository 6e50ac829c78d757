// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_feet.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <thread>

#include "core/model/day.h"
#include "core/pitch/analysis.h"
#include "core/session/plate_signal.h"
#include "core/session/reader.h"
#include "drivers/virtual/player.h"
#include "support/folder.h"
#include "support/split_lead_plate.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

/// A level plate of so many bins of which each is `carried(time)`.
template <class Carried>
LivePlate plate_of(double start, double bin, int count, Carried carried) {
  LivePlate plate;
  plate.role = session::PlateRole::lead;
  plate.frame = {
      Eigen::Matrix3d::Identity(), Eigen::Vector3d::Zero(), Eigen::Vector3d::UnitZ(), {0.3, 0.3}};
  plate.start = start;
  plate.bin = bin;
  plate.zeroed = true;
  for (int i = 0; i < count; ++i)
    plate.bins.push_back(carried(start + (static_cast<double>(i) + 0.5) * bin));
  return plate;
}

LiveBin vertical(double force) {
  LiveBin bin;
  bin.force = bin.least = bin.greatest = {0.0F, 0.0F, static_cast<float>(force)};
  return bin;
}

LiveBin carrying(std::array<float, 3> force, std::array<float, 2> cop, float free_moment) {
  LiveBin bin;
  bin.force = bin.least = bin.greatest = force;
  bin.cop = cop;
  bin.free_moment = free_moment;
  return bin;
}

/// The only trace of a snapshot of one foot.
LiveTrace foot_of(std::vector<LivePlate> plates) {
  const LiveFeet feet = feet_of({10.0, std::move(plates)});
  REQUIRE(feet.traces.size() == 1);
  return feet.traces.front();
}

}  // namespace

TEST_CASE("a foot on one plate is that plate, bin for bin", "[live_feet]") {
  LivePlate back = plate_of(1.0, 0.005, 20, [](double time) { return vertical(100.0 * time); });
  back.role = session::PlateRole::back;
  back.first_bin = 200;
  const LivePlate lead = plate_of(1.0, 0.005, 20, [](double) {
    return carrying({1.0F, 2.0F, 300.0F}, {1.5F, 0.1F}, 0.7F);
  });
  const LiveFeet feet = feet_of({2.0, {lead, back}});
  CHECK(feet.now == 2.0);
  REQUIRE(feet.find(session::PlateRole::back) != nullptr);
  const LiveTrace& foot = *feet.find(session::PlateRole::back);
  CHECK(foot.first_bin == 200);
  CHECK(foot.start == 1.0);
  REQUIRE(foot.bins.size() == 20);
  CHECK(foot.bins[7].force == back.bins[7].force);
  CHECK(feet.find(session::PlateRole::lead)->bins[3].cop == lead.bins[3].cop);
  CHECK(feet_of({2.0, {back}}).find(session::PlateRole::lead) == nullptr);
}

TEST_CASE("two plates under a foot are one: forces add, pressure is their mean by force",
          "[live_feet]") {
  LivePlate first = plate_of(1.0, 0.005, 10, [](double) {
    return carrying({10.0F, 40.0F, 300.0F}, {1.4F, -0.1F}, 2.0F);
  });
  LivePlate second = plate_of(1.0, 0.005, 10, [](double) {
    return carrying({-30.0F, 5.0F, 100.0F}, {1.6F, 0.3F}, -1.0F);
  });
  const LiveTrace foot = foot_of({first, second});
  REQUIRE(foot.bins.size() == 10);
  const LiveBin& bin = foot.bins[4];
  CHECK(bin.force[0] == Approx(-20.0));
  CHECK(bin.force[1] == Approx(45.0));
  CHECK(bin.force[2] == Approx(400.0));
  CHECK(bin.cop[0] == Approx((300.0 * 1.4 + 100.0 * 1.6) / 400.0));
  CHECK(bin.cop[1] == Approx(0.0).margin(1e-6));
  // Moments about (1.45, 0): their own, 2 - 1, and x Fy - y Fx of each force at its own place.
  CHECK(bin.free_moment ==
        Approx(2.0 - 1.0 + (-0.05 * 40.0 + 0.1 * 10.0) + (0.15 * 5.0 - 0.3 * -30.0)));
  CHECK(foot.zeroed);

  // A plate that hardly carries has no point of pressure, and what it carries counts.
  second = plate_of(1.0, 0.005, 10, [](double) { return vertical(6.0); });
  const LiveTrace light = foot_of({first, second});
  CHECK(light.bins[0].force[2] == Approx(306.0));
  CHECK(light.bins[0].cop[0] == Approx(1.4));
  CHECK(light.bins[0].free_moment == Approx(2.0));
  second.zeroed = false;
  CHECK_FALSE(foot_of({first, second}).zeroed);
}

TEST_CASE("plates of different rates and clocks meet on the bins of the faster", "[live_feet]") {
  // Forces that rise evenly are met exactly by straight lines between bins.
  LivePlate fast = plate_of(1.0, 0.005, 200, [](double t) { return vertical(1000.0 * t); });
  fast.first_bin = 1000;
  const LivePlate slow =
      plate_of(1.0513, 0.0083, 100, [](double t) { return vertical(500.0 * t); });
  const LiveTrace foot = foot_of({slow, fast});
  CHECK(foot.bin == 0.005);
  // From the slow one's beginning to its end, 1.8813 s.
  CHECK(foot.time(0) == Approx(1.0525));
  CHECK(foot.first_bin == 1010);
  CHECK(foot.time(foot.bins.size() - 1) == Approx(1.8775));
  for (std::size_t i = 1; i + 1 < foot.bins.size(); ++i)
    CHECK(foot.bins[i].force[2] == Approx(1500.0 * foot.time(i)).epsilon(1e-5));
  // Nothing that either plate carried lies outside of the bounds.
  CHECK(foot.bins[40].least[2] < foot.bins[40].force[2]);
  CHECK(foot.bins[40].greatest[2] > foot.bins[40].force[2]);
}

TEST_CASE("a foot waits for the later of its plates, and not for one that is silent",
          "[live_feet]") {
  const LivePlate first = plate_of(1.0, 0.005, 600, [](double) { return vertical(300.0); });
  const auto second = [](int count) {
    return plate_of(1.0, 0.005, count, [](double) { return vertical(100.0); });
  };
  const LiveTrace late = foot_of({first, second(550)});
  CHECK(late.bins.size() == 550);
  CHECK(late.latest().force[2] == Approx(400.0));
  // Two seconds behind: what the foot carried is not known, as nothing tells the rest of it.
  const LiveTrace silent = foot_of({first, second(200)});
  REQUIRE(silent.bins.size() == 400);
  CHECK(silent.bins[199].force[2] == Approx(400.0));
  CHECK(std::isnan(silent.bins[201].force[2]));
  CHECK(std::isnan(silent.latest().force[2]));
  const LiveTrace never = foot_of({first, second(0)});
  CHECK(std::isnan(never.latest().force[2]));
}

TEST_CASE("the same is seen of a foot on two plates live as is recorded", "[live_feet]") {
  const support::Folder folder;
  model::SessionSettings settings;
  settings.seed = 5;
  settings.station.errors.loss = false;
  const auto made = model::simulate_session(folder / "made.h5", settings);
  if (!made) FAIL(made.error().sentence());
  support::split_lead_plate(folder / "made.h5", folder / "split.h5");
  double contact = 0.0;
  {
    const auto reader = session::Reader::open(folder / "split.h5");
    REQUIRE(reader);
    REQUIRE(reader->session().plates.size() == 3);
    const auto throws = pitch::SessionThrows::find(*reader, {});
    if (!throws) FAIL(throws.error().sentence());
    REQUIRE(throws->contacts().size() == 1);
    contact = throws->contacts().front();
  }
  auto player = Player::open(folder / "split.h5", folder / "ports", {1.0, contact - 2.5});
  if (!player) FAIL(player.error().sentence());
  const auto station = read_station(folder / "ports/station.toml");
  if (!station) FAIL(station.error().sentence());
  session::Session session = station->session;
  session.athlete = player->session().athlete;
  auto capture = Capture::begin(*station, session, folder / "taken.h5");
  if (!capture) FAIL(capture.error().sentence());
  std::this_thread::sleep_for(400ms);  // until every port is open
  LiveFeet shown;
  LiveSnapshot plates;
  {
    auto view = LiveView::begin(**capture);
    if (!view) FAIL(view.error().sentence());
    const auto begun = std::chrono::steady_clock::now();
    std::chrono::duration<double> time{0.0};
    while (time.count() < 3.5) {
      time = std::chrono::steady_clock::now() - begun;
      REQUIRE(player->play_until(time));
      std::this_thread::sleep_for(2ms);
    }
    std::this_thread::sleep_for(100ms);
    plates = (*view)->snapshot(30.0);
    shown = feet_of(plates);
  }
  REQUIRE((*capture)->end());
  const LiveTrace* foot = shown.find(session::PlateRole::lead);
  REQUIRE(foot != nullptr);
  REQUIRE(foot->zeroed);
  REQUIRE(foot->bins.size() > 500);

  // The first half's samples as the file has them, which are half of what the foot carried: bin k
  // is its rows 5 k to 5 k + 4.
  const auto taken = session::Reader::open(folder / "taken.h5");
  REQUIRE(taken);
  const session::Plate& half = taken->session().plates[1];
  REQUIRE(half.role == session::PlateRole::lead);
  const auto signal = session::PlateSignal::make(taken->session(), half);
  REQUIRE(signal);
  const auto raw = taken->read_raw(half.device, 0, taken->sample_count(half.device));
  REQUIRE(raw);
  const plate::WrenchSeries wrench = signal->wrench(*raw);
  double live = 0.0, recorded = 0.0, live_peak = 0.0, recorded_peak = 0.0;
  for (std::size_t i = 0; i < foot->bins.size(); ++i) {
    const auto row =
        static_cast<Eigen::Index>((foot->first_bin + static_cast<std::int64_t>(i)) * 5);
    const double carried = 2.0 * (wrench.col(2).segment(row, 5).mean() - plates.plates[1].zero);
    const auto seen = static_cast<double>(foot->bins[i].force[2]);
    live += seen * foot->bin;
    recorded += carried * foot->bin;
    live_peak = std::max(live_peak, seen);
    recorded_peak = std::max(recorded_peak, carried);
  }
  REQUIRE(recorded_peak > 500.0);
  CHECK(live_peak == Approx(recorded_peak).epsilon(0.03));
  CHECK(live == Approx(recorded).epsilon(0.01));
}
