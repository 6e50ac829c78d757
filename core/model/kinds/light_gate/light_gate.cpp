// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/model/ball_path.h"
#include "core/model/kinds/kind.h"

namespace moundwork::model {
namespace {

// Half of 9 1/8 in round, the middle of the official rules' range.
constexpr double ball_radius = 0.0369;

// The lab's gate stands this far in front of where balls are let go, m.
constexpr double beyond_release = 1.5;

Eigen::Vector3d flight_of(const Station& station) {
  return (station.truth.target - station.truth.release_point).normalized();
}

/// Along the flight from the release to where the ball's front meets a beam at lab x.
double way_to(const Station& station, double x) {
  return (x - station.truth.release_point.x()) / flight_of(station).x() - ball_radius;
}

session::EventInstrument stated(const Station& station) {
  const auto tape = [](double length) { return std::round(100.0 * length) / 100.0; };
  const double x = tape(station.truth.release_point.x() + beyond_release);
  const Eigen::Vector3d passed =
      station.truth.release_point + way_to(station, x) * flight_of(station);
  return {"light_gate",
          "light gate",
          {{"position", {x, 0.005}},
           {"height", {tape(passed.z()), 0.01}},
           {"delay", {0.004, 0.0005}},
           {"tick_rate", {10000.0, 0.0}}}};
}

/// Every pitch breaks the beam once. Lines read "G 3 1234567".
std::vector<session::InstrumentEvent> crossings(const session::EventInstrument& gate,
                                                const Performance& performance,
                                                const Station& station,
                                                const StationSettings& settings, Random& random) {
  const auto& on = settings.errors;
  const Measured& position = gate.measures.at("position");
  const Measured& delay = gate.measures.at("delay");
  const double tick_rate = gate.measures.at("tick_rate").value;
  const double off = random.normal(0.0, position.u);
  const double skew = random.normal(0.0, 20e-6);  // a crystal
  const double switched_on = random.uniform(100.0, 1000.0);
  const double way = way_to(station, position.value + (on.flight ? off : 0.0));
  const double k = drag_per_metre(station.truth.air, station.truth.drag_coefficient);
  std::vector<session::InstrumentEvent> events;
  for (const Throw& one : performance.throws) {
    const double late = random.normal(0.0, delay.u);
    const double time = one.pitch.release + time_to(one.ball_speed, k, way);
    const double since = (time + switched_on) * (1.0 + (on.clock ? skew : 0.0));
    const double ticks = std::floor(since * tick_rate);
    const auto count = static_cast<double>(events.size() + 1);
    events.push_back(
        {session_time(time + delay.value + (on.arrival ? std::max(late, -delay.value) : 0.0)),
         {count, ticks},
         fmt::format("G {:.0f} {:.0f}", count, ticks)});
  }
  return events;
}

}  // namespace

const ModelKind& light_gate_model();
const ModelKind& light_gate_model() {
  static const ModelKind kind{"light_gate", stated, crossings};
  return kind;
}

}  // namespace moundwork::model
