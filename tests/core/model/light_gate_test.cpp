// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>
#include <cmath>

#include "core/model/ball_path.h"
#include "core/model/kinds/list.h"
#include "core/model/performance.h"

using namespace moundwork;
using namespace moundwork::model;

TEST_CASE("the simulated ball breaks the beam when its front is there", "[light-gate]") {
  Random random(5, 0);
  StationSettings settings;
  settings.errors = ErrorSources::none();
  const ModelAthlete athlete = draw_athlete(random, 1);
  const Station station = draw_station(athlete, settings, random);
  const Performance performance = perform_session(
      athlete, station, {.pitches = 2, .activities = false, .heel_cue = false}, random);
  const ModelKind& kind = *model_kind("light_gate");
  const session::EventInstrument gate = kind.stated(station);
  const auto crossings = kind.events(gate, performance, station, settings, random);
  REQUIRE(crossings.size() == 2);
  const Eigen::Vector3d way = station.truth.target - station.truth.release_point;
  for (std::size_t i = 0; i < 2; ++i) {
    const Throw& one = performance.throws[i];
    // The ball's middle is a radius (9 1/8 in round) short of the beam's plane along its way;
    // dv/dx = -k v gives t = (exp(k x) - 1) / (k v0).
    const double radius = 9.125 * 0.0254 / (2.0 * 3.14159265358979);
    const double x = gate.measures.at("position").value - station.truth.release_point.x();
    const double distance = x / (way.x() / way.norm()) - radius;
    const double k = drag_per_metre(station.truth.air, station.truth.drag_coefficient);
    const double time = one.pitch.release + std::expm1(k * distance) / (k * one.ball_speed);
    CHECK(seconds(crossings[i].arrival) ==
          Approx(time + gate.measures.at("delay").value).margin(3e-6));
    CHECK(crossings[i].values[0] == static_cast<double>(i + 1));
  }
  // Its ticks count the time between two pitches.
  const double between = crossings[1].values[1] - crossings[0].values[1];
  CHECK(between / gate.measures.at("tick_rate").value ==
        Approx(seconds(crossings[1].arrival) - seconds(crossings[0].arrival)).margin(2e-4));
}
