// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/station_text.h"

#include <catch2/catch.hpp>

#include "drivers/station/station.h"
#include "support/drivers/virtual_plate.h"

using namespace moundwork;
using namespace moundwork::drivers;

TEST_CASE("the station file of a played session describes its instruments exactly", "[virtual]") {
  auto made = parse_station(support::virtual_station_text(1000.0), "s.toml");
  REQUIRE(made);
  session::Session session = made->session;
  // Numbers that no short decimal holds.
  session.devices[0].channels[1].scale = 1.0 / 3.0;
  session.devices[0].channels[1].offset = -0.1;
  session.devices[0].channels[1].highest = 8388607.0;
  session.devices[0].delay = {0.0013, 1.0 / 7000.0};
  session.plates[1].description.corners[2].z() = -0.1 / 3.0;
  session.plates[1].description.sensitivity(2, 3) = 1.0 / 9.0;
  session.plates[1].accuracy = {0.002, 0.003, 0.5, 0.0015};
  session.radar->delay = {0.08, 0.005};
  session.radar->resolution = 0.044704;
  session.trigger = session::Trigger{1, 4, {0.0015, 0.0005}};
  session.microphone = session::CatchMicrophone{0, 5, {17.1, 0.1}, {2.5, 0.03}};
  session.conditions.surface = "mound";

  const auto read = parse_station(station_text(session, 8.0), "/ports/station.toml");
  if (!read) FAIL(read.error().sentence());
  CHECK(read->pace == 8.0);
  CHECK(parse_station(station_text(session), "/ports/station.toml")->pace == 1.0);
  const session::Session& back = read->session;
  CHECK(back.devices[0].channels[1].scale == 1.0 / 3.0);
  CHECK(back.devices[0].channels[1].offset == -0.1);
  CHECK(back.devices[0].channels[1].highest == 8388607.0);
  CHECK(std::isinf(back.devices[0].channels[0].highest));
  CHECK(back.devices[0].delay.u == 1.0 / 7000.0);
  CHECK(back.plates[1].description.corners[2] == session.plates[1].description.corners[2]);
  CHECK(back.plates[1].description.sensitivity == session.plates[1].description.sensitivity);
  CHECK(back.plates[1].accuracy.cop == 0.0015);
  CHECK(back.radar->delay.value == 0.08);
  CHECK(back.radar->resolution == 0.044704);
  CHECK(back.radar->band == session.radar->band);
  CHECK(back.trigger->channel == 4);
  CHECK(back.microphone->flight_distance.value == 17.1);
  CHECK(back.conditions.surface == "mound");
  CHECK(std::get<StreamPort>(read->devices[1].port).path == "/ports/lead");
}
