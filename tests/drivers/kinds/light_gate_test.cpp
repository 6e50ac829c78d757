// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <fstream>
#include <thread>

#include "core/session/kinds/list.h"
#include "core/session/writer.h"
#include "drivers/kinds/light_gate/gate_line.h"
#include "drivers/kinds/list.h"
#include "drivers/recorder/kept_rows.h"
#include "drivers/recorder/short_recording.h"
#include "drivers/station/station.h"
#include "drivers/virtual/player.h"
#include "drivers/virtual/station_text.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

const std::string gate =
    "name = \"bench\"\n[[light_gate]]\nname = \"gate 1\"\n"
    "port = {kind = \"serial\", name = \"/dev/ttyUSB3\", baud = 9600}\n"
    "pattern = \"G {count} {ticks}\"\ntick_rate = \"10 kHz\"\nposition = \"3.50 m\"\n"
    "position_u = \"5 mm\"\nheight = \"155 cm\"\nheight_u = \"1 cm\"\ndelay = \"4 ms\"\n"
    "delay_u = \"0.5 ms\"\n";

std::string with(const std::string& text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.substr(0, at) + to + text.substr(at + from.size());
}

std::vector<session::InstrumentEvent> receive(GateCodec& codec, const std::string& text) {
  std::vector<session::InstrumentEvent> events;
  codec.push({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()},
             [&](session::InstrumentEvent&& event) { events.push_back(std::move(event)); });
  return events;
}

/// A session of gates alone, each broken `breaks` times a second apart.
void write_gates(const std::filesystem::path& path, int breaks, double first) {
  session::Session made;
  made.id = "gates";
  made.started = "2026-05-04T08:00:00Z";
  made.athlete.mass = {80.0, 0.1};
  made.instruments.push_back(
      {"light_gate",
       "gate 1",
       {{"position", {3.5, 0.005}}, {"height", {1.0 / 3.0, 0.01}}, {"delay", {0.004, 0.0005}}}});
  auto writer = session::Writer::create(path, made);
  REQUIRE(writer);
  for (int i = 0; i < breaks; ++i)
    REQUIRE(writer->append_event(
        0, {session_time(first + i), {i + 11.0, std::nan("")}, "G " + std::to_string(i + 11)}));
  REQUIRE(writer->close());
}

}  // namespace

TEST_CASE("a light gate's lines are read by their pattern", "[light-gate]") {
  GateCodec codec(GateLinePattern::make("G {count} {ticks}").value());
  codec.idle();
  const auto all = receive(codec, "G 3 120500\r\nG 4\r\nboot\r\nG -1 5\nG 5 9007199254740993\n");
  REQUIRE(all.size() == 1);
  CHECK(all[0].values[0] == 3.0);
  CHECK(all[0].values[1] == 120500.0);
  CHECK(all[0].text == "G 3 120500");
  CHECK(codec.counts().events == 1);
  CHECK(codec.counts().other_lines == 4);
  // Any cut of the bytes gives the same.
  GateCodec cut(GateLinePattern::make("G {count} {ticks}").value());
  cut.idle();
  std::size_t found = 0;
  for (const char c : std::string("G 3 120500\r\nG 12 120900\r\n"))
    found += receive(cut, std::string(1, c)).size();
  CHECK(found == 2);
  // The beginning of the first line after opening may be missing: 12 must not become 2.
  GateCodec opening(GateLinePattern::make("{count}").value());
  CHECK(receive(opening, "2\n").empty());
  CHECK(receive(opening, "13\n").size() == 1);
  // A byte that is no character is kept so that it can be seen, as a radar's is.
  GateCodec noisy(GateLinePattern::make("G {skip} {count}").value());
  noisy.idle();
  const auto kept = receive(noisy, "G \x01 5\n");
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].text == "G \\x01 5");
  GateCodec plain(GateLinePattern::make("BREAK").value());
  plain.idle();
  const auto broken = receive(plain, "BREAK\n");
  REQUIRE(broken.size() == 1);
  CHECK(std::isnan(broken[0].values[0]));
  CHECK(std::isnan(broken[0].values[1]));
  for (const char* wrong : {"", "  ", "G {count", "G {speed}", "{count}{count}"}) {
    CAPTURE(wrong);
    CHECK_FALSE(GateLinePattern::make(wrong));
  }
}

TEST_CASE("a light gate in the station file is read as the page says", "[light-gate]") {
  const auto station = parse_station(gate, "/lab/s.toml");
  if (!station) FAIL(station.error().sentence());
  REQUIRE(station->events.size() == 1);
  CHECK(std::get<SerialSettings>(station->events[0].port).name == "/dev/ttyUSB3");
  REQUIRE(station->session.instruments.size() == 1);
  const session::EventInstrument& one = station->session.instruments[0];
  CHECK(one.kind == "light_gate");
  CHECK(one.name == "gate 1");
  CHECK(one.measures.at("position").value == Approx(3.5));
  CHECK(one.measures.at("position").u == Approx(0.005));
  CHECK(one.measures.at("height").value == Approx(1.55));
  CHECK(one.measures.at("delay").u == Approx(0.0005));
  CHECK(one.measures.at("tick_rate").value == Approx(10000.0));

  const std::vector<std::pair<std::string, std::string>> slips{
      {"position = \"3.50 m\"\n", ""},
      {"height = \"155 cm\"\n", ""},
      {"name = \"gate 1\"\n", ""},
      {"name = \"gate 1\"", "name = \"a/b\""},
      {"pattern = \"G {count} {ticks}\"", "pattern = \"G {coun}\""},
      {"pattern = \"G {count} {ticks}\"", "pattern = \"G {count}\""},
      {"tick_rate = \"10 kHz\"\n", ""},
      {"delay = \"4 ms\"", "delay = \"-4 ms\""},
      {"position_u", "position_uu"}};
  for (const auto& [right, wrong] : slips) {
    CAPTURE(right, wrong);
    const auto refused = parse_station(with(gate, right, wrong), "s.toml");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("s.toml, line") == 0);
  }
  const std::string second = gate.substr(gate.find("[["));
  CHECK_FALSE(parse_station(gate + second, "s.toml"));
  const std::string other = with(second, "gate 1", "gate 2");
  CHECK_FALSE(parse_station(gate + other, "s.toml"));  // one port
  const auto both = parse_station(gate + with(other, "ttyUSB3", "ttyUSB4"), "s.toml");
  if (!both) FAIL(both.error().sentence());
  CHECK(both->session.instruments.size() == 2);
}

TEST_CASE("a played light gate is described exactly, recorded and checked", "[light-gate]") {
  const int breaks = GENERATE(3, 2);
  CAPTURE(breaks);
  const support::Folder folder;
  write_gates(folder / "made.h5", breaks, 0.4);
  auto player = Player::open(folder / "made.h5", folder / "ports");
  if (!player) FAIL(player.error().sentence());
  const auto station = read_station(folder / "ports/station.toml");
  if (!station) FAIL(station.error().sentence());
  REQUIRE(station->session.instruments.size() == 1);
  CHECK(station->session.instruments[0].measures.at("height").value == 1.0 / 3.0);
  auto recording = ShortRecording::begin(*station);
  if (!recording) FAIL(recording.error().sentence());
  const auto begun = std::chrono::steady_clock::now();
  std::this_thread::sleep_for(200ms);  // until the port is open
  bool more = true;
  while (more) {
    const auto played = player->play_until(std::chrono::steady_clock::now() - begun);
    REQUIRE(played);
    more = *played;
    std::this_thread::sleep_for(2ms);
  }
  std::this_thread::sleep_for(300ms);
  CHECK((*recording)->capture().recorder().readings == breaks);
  // A throw that is measured while it is recorded would find them too.
  KeptRows kept((*recording)->capture());
  kept.take(0.0, [](int, const SampleBlock&) {});
  const session::MemoryRows live = kept.rows();
  const auto reader = (*recording)->end();
  if (!reader) FAIL(reader.error().sentence());
  const auto crossings = reader->events(*session::kind_of("light_gate"), "gate 1");
  REQUIRE(crossings);
  REQUIRE(crossings->size() == static_cast<std::size_t>(breaks));
  const auto kept_crossings = live.events(*session::kind_of("light_gate"), "gate 1");
  REQUIRE(kept_crossings);
  REQUIRE(kept_crossings->size() == crossings->size());
  CHECK((*kept_crossings)[1].arrival == (*crossings)[1].arrival);
  CHECK((*kept_crossings)[1].text == (*crossings)[1].text);
  CHECK((*crossings)[1].values[0] == 12.0);
  CHECK((*crossings)[1].text == "G 12");
  CHECK(seconds((*crossings)[1].arrival) - seconds((*crossings)[0].arrival) ==
        Approx(1.0).margin(0.3));

  const auto all = checked_kinds();
  const auto gates = std::find_if(all.begin(), all.end(),
                                  [](const StationKind* one) { return one->key == "light_gate"; });
  REQUIRE(gates != all.end());
  const auto sheet = (*gates)->check->evaluate(*reader, {});
  REQUIRE(sheet);
  REQUIRE(sheet->size() == 2);
  CHECK((*sheet)[0].found == breaks);
  CHECK((*sheet)[0].pass() == (breaks == 3));
  CHECK((*sheet)[1].pass());
}
