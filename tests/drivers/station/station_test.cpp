// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/station/station.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;

namespace {

/// The example that people copy from docs/station-file.md.
std::string documented_example() {
  std::ifstream file(MOUNDWORK_DOCS "/station-file.md");
  std::ostringstream page;
  page << file.rdbuf();
  const std::string text = page.str();
  const auto begin = text.find("```toml\n");
  REQUIRE(begin != std::string::npos);
  const auto end = text.find("```", begin + 3);
  return text.substr(begin + 8, end - begin - 8);
}

std::string with(const std::string& text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.substr(0, at) + to + text.substr(at + from.size());
}

}  // namespace

TEST_CASE("the documented station is read as the page says", "[station]") {
  const auto station = parse_station(documented_example(), "/lab/north.toml");
  if (!station) FAIL(station.error().sentence());
  const session::Session& session = station->session;
  CHECK(station->name == "north mound");
  CHECK(session.conditions.surface == "mound");
  REQUIRE(session.devices.size() == 2);

  const auto& back = session.devices[0];
  CHECK(back.name == "back plate");
  CHECK(back.tick_rate == 1e6);
  CHECK(back.delay.value == Approx(0.0015));
  CHECK(back.delay.u == Approx(0.0005));
  REQUIRE(back.channels.size() == 7);
  // the formula of type 4 plates: F = Vout 1e6 / (S Vexc G); here one count of 0.298 uV.
  CHECK(back.channels[0].scale == Approx(2.98e-7 * 1e6 / (0.17 * 10 * 500)).epsilon(1e-12));
  CHECK(back.channels[0].highest == 8388607);
  CHECK(back.channels[5].unit == "N m");
  CHECK(back.channels[5].scale == Approx(0.0002));
  CHECK(back.channels[5].offset == 12);
  const auto& serial = std::get<SerialSettings>(station->devices[0].port);
  CHECK(serial.usb.vendor == 0x0403);
  CHECK(serial.baud_rate == 921600);

  const auto& lines = std::get<LineFormat>(station->devices[1].format);
  CHECK(lines.channels == std::vector<int>{1, 2, 3, 4, 5, 6});
  CHECK(lines.counter == 0);
  CHECK(lines.delimiter == ';');
  CHECK(std::get<TcpPort>(station->devices[1].port).port == "4001");

  REQUIRE(session.plates.size() == 2);
  CHECK(session.plates[0].role == session::PlateRole::back);
  CHECK(session.plates[0].accuracy.cop == Approx(0.0015));
  CHECK(session.plates[1].description.sensitivity(4, 2) == -1.5);
  CHECK(session.plates[1].device == 1);
  REQUIRE(session.radar);
  CHECK(session.radar->band == Approx(24.125e9));
  CHECK(session.radar->resolution == Approx(0.044704));
  REQUIRE(session.microphone);
  CHECK(session.microphone->channel == 6);
  CHECK(session.microphone->sound_distance.u == Approx(0.03));
}

TEST_CASE("a bridge turns counts into newtons as the worked example does", "[station]") {
  // worked by hand: S = 0.17 uV/(V N), 10 V, gain 2000, 16 bits over +-10 V: 0.0897576 N.
  const auto station =
      parse_station(with(documented_example(), "volts_per_count = 2.98e-7, gain = 500",
                         "volts_per_count = 3.0517578125e-4, gain = 2000"),
                    "x.toml");
  REQUIRE(station);
  CHECK(station->session.devices[0].channels[0].scale == Approx(0.0897576).margin(5e-8));
}

TEST_CASE("a station's own limits stand in for the usual ones", "[station]") {
  const std::string text = documented_example();
  const auto usual = parse_station(text, "north.toml");
  REQUIRE(usual);
  CHECK(usual->check_limits.weight_cop == 0.005);  // as docs/station-file.md says
  const auto own = parse_station(
      text + "\n[check_limits]\nrate = 0.0001\nweight_cop = \"3 mm\"\ntap = \"1 ms\"\n",
      "north.toml");
  REQUIRE(own);
  CHECK(own->check_limits.rate == 0.0001);
  CHECK(own->check_limits.weight_cop == Approx(0.003));
  CHECK(own->check_limits.tap == Approx(0.001));
  CHECK(own->check_limits.force_zero == 100.0);
  for (const char* wrong :
       {"rate = 0", "rate = 30", "tap = \"1 mm\"", "tap = \"0 ms\"", "taps = 1"}) {
    CAPTURE(wrong);
    const auto refused = parse_station(text + "\n[check_limits]\n" + wrong + "\n", "north.toml");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("check_limits") != std::string::npos);
  }
}

TEST_CASE("paths are taken from the station file's folder", "[station]") {
  const auto station = parse_station(support::virtual_station_text(1000.0), "/lab/north/s.toml");
  REQUIRE(station);
  CHECK(std::get<StreamPort>(station->devices[0].port).path == "/lab/north/back");
}

TEST_CASE("two instruments are not given one port", "[station]") {
  const std::string good = support::virtual_station_text(1000.0);
  REQUIRE(parse_station(good, "/lab/s.toml"));
  for (const char* same : {"path = \"back\"", "path = \"./back\"", "path = \"/lab/back\""}) {
    CAPTURE(same);
    const auto refused = parse_station(with(good, "path = \"lead\"", same), "/lab/s.toml");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence().find("one port") != std::string::npos);
  }
  // Two adapters of one make that nothing tells apart.
  const std::string usb =
      "port = {kind = \"serial\", usb_vendor = 0x0403, usb_product = 0x6001, baud = 9600}\n"
      "format = {kind = \"lines\", fields = 1}\nsample_rate = \"1000 Hz\"\n"
      "[[device.channel]]\nname = \"a\"\nunit = \"V\"\nscale = 1.0\nfield = 1\n";
  const std::string one = "name = \"s\"\n[[device]]\nname = \"a\"\n" + usb;
  const std::string other = "[[device]]\nname = \"b\"\n" + usb;
  CHECK_FALSE(parse_station(one + other, "s.toml"));
  const auto told = parse_station(
      one + with(other, "usb_product = 0x6001", "usb_product = 0x6001, usb_serial = \"B\""),
      "s.toml");
  if (!told) FAIL(told.error().sentence());
}

TEST_CASE("several plates of a station may serve one foot, each with its own channels",
          "[station]") {
  const std::string good = documented_example();
  const std::size_t at = good.find("[[plate]]", good.find("[[plate]]") + 1);
  std::string second = good.substr(at);
  second = second.substr(0, second.find("\n[", 1));
  const auto shared = parse_station(good + "\n" + second, "lab/station.toml");
  REQUIRE_FALSE(shared);
  CHECK(shared.error().sentence().find("which is another plate's") != std::string::npos);

  // The same channels by the other device's name.
  const std::string other = "device = \"back plate\"", own = "device = \"lead plate\"";
  REQUIRE(second.find(own) != std::string::npos);
  const auto from = good.find("[[device]]"), to = good.find("[[device]]", from + 1);
  std::string third = good.substr(to, good.find("\n[[", to + 1) - to);
  third.replace(third.find("lead plate"), 10, "far plate");
  second.replace(second.find(own), own.size(), "device = \"far plate\"");
  third = with(third, "port = 4001", "port = 4002");
  const auto one_place = parse_station(good + "\n" + third + "\n" + second, "lab/station.toml");
  REQUIRE_FALSE(one_place);
  CHECK(one_place.error().sentence().find("where another plate of that foot lies") !=
        std::string::npos);
  second = with(
      second, "[[2.05, -0.3, -0.15], [1.15, -0.3, -0.08], [1.15, 0.3, -0.08], [2.05, 0.3, -0.15]]",
      "[[2.05, 0.31, -0.15], [1.15, 0.31, -0.08], [1.15, 0.91, -0.08], [2.05, 0.91, -0.15]]");
  const auto three = parse_station(good + "\n" + third + "\n" + second, "lab/station.toml");
  CAPTURE(three ? std::string() : three.error().sentence());
  REQUIRE(three);
  REQUIRE(three->session.plates.size() == 3);
  CHECK(three->session.plates[2].role == session::PlateRole::lead);
}

TEST_CASE("a station file that is wrong is refused with the place and the reason", "[station]") {
  const std::string good = documented_example();
  const std::vector<std::tuple<std::string, std::string, std::string>> slips{
      {"baud = 921600", "bauds = 921600", "bauds"},
      {"baud = 921600", "baud = \"fast\"", "baud"},
      {"kind = \"tcp\"", "kind = \"pigeon\"", "port"},
      {"sample_rate = \"1000 Hz\"", "sample_rate = 1000", "sample_rate"},
      {"tick_rate = \"1000 kHz\"", "tick_rate = \"10 Hz\"", "tick_rate"},
      {"fields = 8", "fields = 4", "field"},
      {"field = 2\n", "\n", "field"},
      {"device = \"lead plate\"", "device = \"led plate\"", "led plate"},
      {"\"V5\", \"V6\"", "\"V5\", \"V7\"", "V7"},
      {"role = \"lead\"", "role = \"back\"", "role"},
      {"type = 4", "type = 5", "type"},
      {"  [0.8, 0.0, 0.0, 0.0, 0.0, 150.0],\n", "", "sensitivity"},
      {"unit = \"N\"\n  scale = 0.001", "unit = \"kg\"\n  scale = 0.001", "kg"},
      {"{direction} {speed} {unit}", "{direction} {sped}", "sped"},
      {"toward = [\"IN\"]\naway = [\"OUT\"]\n", "", "toward"},
      {"name = \"lead plate\"", "name = \"back plate\"", "taken"},
      {"name = \"lead plate\"", "name = \"lead/plate\"", "letters"},
      {"channel = \"sound\"", "channel = \"noise\"", "noise"},
      {"scale = 0.002", "scale = 0", "scale"},
      {"name = \"lead plate\"", "name = \"\"", "letters"},
      {"\"Fx\", \"Fy\", \"Fz\"", "\"Fx\", \"Fx\", \"Fz\"", "twice"},
      {"away = [\"OUT\"]", "away = [\"OUT\", \"IN\"]", "IN"},
      {"flight_distance = \"16.9 m\"", "flight_distance = \"0 m\"", "flight_distance"},
      {"name = \"north mound\"", "name = ", "line 1"},
  };
  for (const auto& [from, to, expected] : slips) {
    CAPTURE(from, to);
    const auto station = parse_station(with(good, from, to), "north.toml");
    REQUIRE_FALSE(station);
    const std::string sentence = station.error().sentence();
    CHECK(sentence.find("north.toml") == 0);
    CHECK(sentence.find(expected) != std::string::npos);
  }
  const auto first_channel = good.find("  [[device.channel]]");
  const auto second_device = good.find("[[device]]\n", first_channel);
  const auto bare =
      parse_station(good.substr(0, first_channel) + "\n" + good.substr(second_device), "bare.toml");
  REQUIRE_FALSE(bare);
  CHECK(bare.error().sentence().find("needs 'channel'") != std::string::npos);
  CHECK_FALSE(parse_station("", "empty.toml"));
  const support::Folder folder;
  CHECK_FALSE(read_station(folder / "none.toml"));
  CHECK_FALSE(read_station(folder.path()));
}
