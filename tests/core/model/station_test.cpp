// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/station.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using namespace moundwork;
using namespace moundwork::model;

namespace {

ModelAthlete some_athlete() {
  Random random(3, 0);
  return draw_athlete(random, 1);
}

// Mean and standard deviation of values that should be standard normal: five standard errors.
void is_standard_normal(const std::vector<double>& values) {
  const auto n = static_cast<double>(values.size());
  double sum = 0.0;
  double square = 0.0;
  for (const double value : values) {
    sum += value;
    square += value * value;
  }
  CHECK(std::abs(sum / n) < 5.0 / std::sqrt(n));
  CHECK(std::abs(square / n - 1.0) < 5.0 * std::sqrt(2.0 / n));
}

}  // namespace

TEST_CASE("errors of a station are spread by exactly what it states") {
  const ModelAthlete athlete = some_athlete();
  StationSettings settings;
  std::vector<double> gain;
  std::vector<double> crosstalk;
  std::vector<double> point;
  std::vector<double> foot;
  std::vector<double> mass;
  std::vector<double> bias;
  std::vector<double> drag;
  std::vector<double> distance;
  std::vector<double> temperature;
  std::vector<double> delay;
  for (std::uint64_t seed = 0; seed < 800; ++seed) {
    Random random(seed, 1);
    const Station station = draw_station(athlete, settings, random);
    const auto& plate = station.truth.plates[1];
    gain.push_back(plate.gain.z() / 0.002);
    crosstalk.push_back(plate.crosstalk.x() / 0.003);
    point.push_back(plate.pressure_point.y() / 0.0015);
    foot.push_back((station.stated.foot_line->heel.y() - station.truth.foot.heel.y()) / 0.002);
    mass.push_back((station.stated.athlete.mass.value - athlete.mass) / 0.1);
    bias.push_back(station.truth.radar_bias / station.stated.radar->speed_bias.u);
    drag.push_back((station.truth.drag_coefficient - 0.35) / 0.03);
    const auto& flight = station.stated.microphone->flight_distance;
    distance.push_back((flight.value - station.truth.flight_distance) / flight.u);
    const auto& air = station.stated.conditions.temperature;
    temperature.push_back((air.value - station.truth.air.temperature) / air.u);
    delay.push_back((station.truth.clocks[0].delay - station.stated.devices[0].delay.value) /
                    station.stated.devices[0].delay.u);
  }
  for (const auto* values :
       {&gain, &crosstalk, &point, &foot, &mass, &bias, &drag, &distance, &temperature, &delay})
    is_standard_normal(*values);
}

TEST_CASE("a source of error switched off leaves the others as they were") {
  const ModelAthlete athlete = some_athlete();
  StationSettings settings;
  Random first(1, 1);
  const Station all = draw_station(athlete, settings, first);
  settings.errors.gain = false;
  settings.errors.clock = false;
  Random second(1, 1);
  const Station some = draw_station(athlete, settings, second);
  CHECK(some.truth.plates[0].gain.norm() == 0.0);
  CHECK(some.truth.clocks[1].skew == 0.0);
  CHECK(some.truth.plates[0].crosstalk == all.truth.plates[0].crosstalk);
  CHECK(some.truth.radar_bias == all.truth.radar_bias);
  CHECK(some.stated.foot_line->toe == all.stated.foot_line->toe);
}

TEST_CASE("without errors the station states the truth") {
  const ModelAthlete athlete = some_athlete();
  StationSettings settings;
  settings.errors = ErrorSources::none();
  Random random(1, 1);
  const Station station = draw_station(athlete, settings, random);
  CHECK(station.stated.athlete.mass.value == athlete.mass);
  CHECK(station.stated.foot_line->heel.head<2>() == station.truth.foot.heel);
  CHECK(station.stated.microphone->flight_distance.value == station.truth.flight_distance);
  CHECK(station.truth.clocks[0].session_time(1000.0) ==
        Approx(1000.0 + station.truth.clocks[0].start));
}

TEST_CASE("plates lie as the mound does, and the foot and landing are on them") {
  for (std::uint64_t seed = 1; seed < 30; ++seed) {
    Random random(seed, 1);
    const ModelAthlete athlete = draw_athlete(random, 1);
    const Station station = draw_station(athlete, {}, random);
    const auto back = plate::plate_frame(station.stated.plates[0].description);
    const auto lead = plate::plate_frame(station.stated.plates[1].description);
    REQUIRE(back);
    REQUIRE(lead);
    // Plate z points down, x toward home; the lead plate falls 1 in 12 (official baseball
    // rules, 2.04).
    CHECK(lead->rotation(2, 2) == Approx(-std::cos(std::atan(1.0 / 12.0))).epsilon(1e-9));
    CHECK(lead->rotation(2, 0) == Approx(-std::sin(std::atan(1.0 / 12.0))).epsilon(1e-9));
    // Surface height at x ahead of the rubber: -(x - 0.1524) / 12 (official baseball rules, 2.04).
    CHECK(surface_height(*lead, {1.5, 0.2}) == Approx(-(1.5 - 0.1524) / 12.0).margin(1e-9));
    for (const auto& point : {station.truth.foot.heel, station.truth.foot.toe}) {
      const Eigen::Vector2d from = point - back->centre.head<2>();
      CHECK(std::abs(from.x()) < back->half_size.x());
      CHECK(std::abs(from.y()) < back->half_size.y());
    }
    CHECK(std::abs(athlete.typical.stride - lead->centre.x()) < 0.051);
  }
}

TEST_CASE("a device's clock gains by its skew and wanders within its bound") {
  DeviceClock clock;
  clock.start = 0.01;
  clock.skew = 20e-6;
  clock.wander = 50e-6;
  // 3600 s of a counter 20 ppm fast are 72 ms early.
  CHECK(clock.session_time(0.0) == Approx(0.01));
  CHECK(clock.session_time(3600.0) == Approx(3600.01 - 0.072).margin(2e-4));
  for (double d = 0.0; d < 3600.0; d += 10.0)
    REQUIRE(clock.session_time(d + 1e-3) > clock.session_time(d));
}

TEST_CASE("several plates under a foot share its area, with errors of their own") {
  Random random(7, 1);
  const ModelAthlete athlete = draw_athlete(random, 1);
  StationSettings settings;
  settings.trigger = true;
  settings.back_plates.plates = 2;
  settings.lead_plates = {2, {1000.0, 500.0}};
  const Station station = draw_station(athlete, settings, random);
  const auto& stated = station.stated;
  REQUIRE(stated.plates.size() == 4);
  // One device under the back foot, two where the lead foot lands, the microphone's.
  REQUIRE(stated.devices.size() == 4);
  REQUIRE(station.truth.plates.size() == 4);
  REQUIRE(station.truth.clocks.size() == 4);
  CHECK(stated.devices[0].name == "back plates");
  CHECK(stated.devices[1].name == "first lead plate");
  CHECK(stated.devices[2].name == "second lead plate");
  CHECK(stated.devices[1].sample_rate == 1000.0);
  CHECK(stated.devices[2].sample_rate == 500.0);
  CHECK(stated.microphone->device == 3);
  CHECK(stated.plates[1].device == 0);
  CHECK(stated.plates[1].channels == std::vector<int>{6, 7, 8, 9, 10, 11});
  CHECK(stated.devices[0].channels[0].name == "Fx");
  CHECK(stated.devices[0].channels[6].name == "Fx 2");
  CHECK(stated.trigger->device == 1);
  CHECK(stated.trigger->channel == 6);
  CHECK(station.truth.plates[2].gain != station.truth.plates[3].gain);
  CHECK(station.truth.plates[0].offset != station.truth.plates[1].offset);

  // Together where the one plate of today is, in one plane.
  StationSettings one_each;
  const Station single = draw_station(athlete, one_each, random);
  for (const std::size_t foot : {0U, 1U}) {
    const auto whole = plate::plate_frame(single.stated.plates[foot].description);
    const auto first = plate::plate_frame(stated.plates[2 * foot].description);
    const auto second = plate::plate_frame(stated.plates[2 * foot + 1].description);
    CHECK((0.5 * (first->centre + second->centre) - whole->centre).norm() < 1e-12);
    CHECK((first->up - whole->up).norm() < 1e-12);
    CHECK((second->up - whole->up).norm() < 1e-12);
    CHECK(first->half_size.prod() + second->half_size.prod() == Approx(whole->half_size.prod()));
    CHECK(surface_height(*first, {0.5, 0.1}) ==
          Approx(surface_height(*whole, {0.5, 0.1})).margin(1e-12));
  }
}
