// SPDX-License-Identifier: GPL-3.0-or-later
#include <QImage>
#include <catch2/catch.hpp>

#include "app/desk/capture/device_words.h"
#include "app/desk/look/look.h"
#include "app/desk/plot/station_drawing.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("a light gate has a lamp with its count", "[light-gate]") {
  DeviceSight gate;
  gate.name = "gate 1";
  gate.sampled = false;
  gate.kind = "light_gate";
  gate.state = drivers::LinkState::silent;
  CHECK(lamp_of(gate).state == LampState::good);
  CHECK(lamp_of(gate).words == QStringLiteral("ready, no crossing yet"));
  gate.accepted = 1;
  CHECK(lamp_of(gate).words == QStringLiteral("ready, 1 crossing"));
  gate.accepted = 12;
  CHECK(lamp_of(gate).words == QStringLiteral("ready, 12 crossings"));
  gate.refused = 40;
  CHECK(lamp_of(gate).state == LampState::trouble);
  CHECK(lamp_of(gate).words.contains(QStringLiteral("40 lines that are no crossings")));
}

TEST_CASE("a light gate is told and drawn with the station", "[light-gate]") {
  session::Session station;
  StationDrawing drawing(make_look(Theme::light));
  drawing.resize(620, 460);
  drawing.show_station(station);
  const QImage without = drawing.grab().toImage();
  station.instruments.push_back(
      {"light_gate", "gate 1", {{"position", {3.5, 0.005}}, {"height", {1.55, 0.01}}}});
  drawing.show_station(station);
  CHECK(drawing.accessibleDescription() ==
        QStringLiteral("Light gate 'gate 1': its beam 3.50 m in front of the rubber, 1.55 m high"));
  CHECK(drawing.grab().toImage() != without);
}
