// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/radar_line.h"

#include <catch2/catch.hpp>

using namespace moundwork::drivers;

namespace {

RadarLinePattern pattern_of(const RadarLineSettings& settings) {
  auto made = RadarLinePattern::make(settings);
  REQUIRE(made);
  return *made;
}

std::vector<std::pair<std::string, bool>> receive(RadarLineCodec& codec, const std::string& text) {
  std::vector<std::pair<std::string, bool>> lines;
  codec.push({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()},
             [&](const RadarLine& line) {
               lines.emplace_back(std::string(line.text), line.value.has_value());
             });
  return lines;
}

}  // namespace

TEST_CASE("a line is kept whole or says where it was cut", "[codec]") {
  CHECK(kept_line("IN\t88.1 mph") == "IN\t88.1 mph");
  CHECK(kept_line(std::string_view("\0IN 88.1\x1b", 9)) == "\\x00IN 88.1\\x1B");
  CHECK(kept_line(std::string(95, 'a')) == std::string(95, 'a'));
  CHECK(kept_line(std::string(96, 'a')) == std::string(92, 'a') + "...");
  // Not amid a character, nor amid an escape.
  CHECK(kept_line(std::string(91, 'a') + "\u00e9" + "bbbb") == std::string(91, 'a') + "...");
  CHECK(kept_line(std::string(90, 'a') + "\x01" + "bbbb") == std::string(90, 'a') + "...");
}

TEST_CASE("speeds are read in the units the line or the station names", "[codec]") {
  const auto units = pattern_of({"{speed} {unit}", "", {}, {}, false});
  // 1 mile is 1609.344 m by definition (international yard and pound agreement, 1959).
  CHECK(units.match("90.0 mph")->speed == Approx(40.2336).margin(1e-9));
  CHECK(units.match("  90.0   MPH ")->speed == Approx(40.2336).margin(1e-9));
  CHECK(units.match("144 km/h")->speed == Approx(40.0).margin(1e-9));
  CHECK(units.match("144 kmh")->speed == Approx(40.0).margin(1e-9));
  CHECK(units.match("40.5 m/s")->speed == Approx(40.5).margin(1e-12));
  const auto fixed = pattern_of({"S={speed};", "km/h", {}, {}, false});
  CHECK(fixed.match("S=0072;")->speed == Approx(20.0).margin(1e-9));
  CHECK(fixed.match("S= +72.0;")->speed == Approx(20.0).margin(1e-9));
}

TEST_CASE("directions are told by the radar's own words and its place", "[codec]") {
  RadarLineSettings settings{"{direction}{speed}", "mph", {"IN", "+"}, {"I", "OUT", "-"}, false};
  const auto front = pattern_of(settings);
  CHECK(front.match("IN91.3")->direction == 1);
  CHECK(front.match("I91.3")->direction == -1);
  CHECK(front.match("-91.3")->direction == -1);
  CHECK(front.match("-91.3")->speed == Approx(91.3 * 0.44704).margin(1e-9));
  CHECK_FALSE(front.match("91.3"));
  settings.behind_pitcher = true;
  CHECK(pattern_of(settings).match("OUT91.3")->direction == 1);
}

TEST_CASE("a line that does not fit gives no reading", "[codec]") {
  const auto pattern = pattern_of({"T {skip} V {speed} {unit}", "", {}, {}, false});
  CHECK(pattern.match("T 12:31:07 V 91.3 mph")->speed == Approx(91.3 * 0.44704).margin(1e-9));
  for (const char* line : {"", "T 12:31:07 V", "T 12:31:07 V -- mph", "T 1 V 91.3 knots",
                           "T 1 V 91.3 mph extra", "T 1 V -91.3 mph", "T 1 V nan mph",
                           "T 1 V inf mph", "T 1 V 9e1 mph", "T  V 91 mph", "x T 1 V 91 mph"}) {
    CAPTURE(line);
    CHECK_FALSE(pattern.match(line));
  }
}

TEST_CASE("a pattern that cannot work is refused with a reason", "[codec]") {
  for (const RadarLineSettings& wrong :
       {RadarLineSettings{"{unit}", "", {}, {}, false},
        RadarLineSettings{"{speed}", "", {}, {}, false},
        RadarLineSettings{"{speed", "mph", {}, {}, false},
        RadarLineSettings{"{velocity}", "mph", {}, {}, false},
        RadarLineSettings{"{speed}{speed}", "mph", {}, {}, false},
        RadarLineSettings{"{direction}{speed}", "mph", {}, {}, false},
        RadarLineSettings{"{speed}{unit}", "mph", {}, {}, false},
        RadarLineSettings{"{speed}", "furlong", {}, {}, false},
        RadarLineSettings{"", "mph", {}, {}, false}}) {
    CAPTURE(wrong.pattern, wrong.unit);
    const auto made = RadarLinePattern::make(wrong);
    REQUIRE_FALSE(made);
    CHECK(made.error().sentence().find("radar pattern") == 0);
  }
}

TEST_CASE("the line cut off by opening the port is not believed, unless silence came before it",
          "[codec]") {
  RadarLineCodec cut(pattern_of({"{speed}", "mph", {}, {}, false}));
  CHECK(receive(cut, "1.3\n91.3\n") ==
        std::vector<std::pair<std::string, bool>>{{"1.3", false}, {"91.3", true}});
  CHECK(cut.counts().readings == 1);
  CHECK(cut.counts().other_lines == 1);

  RadarLineCodec calm(pattern_of({"{speed}", "mph", {}, {}, false}));
  calm.idle();
  CHECK(receive(calm, "91.3\r\n") == std::vector<std::pair<std::string, bool>>{{"91.3", true}});

  RadarLineCodec half(pattern_of({"{speed}", "mph", {}, {}, false}));
  (void)receive(half, "9");
  half.idle();
  CHECK(receive(half, "1.3\r\n") == std::vector<std::pair<std::string, bool>>{{"91.3", false}});
}

TEST_CASE("a radar that ends its lines by CR alone, CR LF or both in turn is read", "[codec]") {
  RadarLineCodec codec(pattern_of({"{speed}", "mph", {}, {}, false}));
  codec.idle();
  CHECK(receive(codec, "91.3\r88.0\r\n\r\n90.1\n\r77.2\r") ==
        std::vector<std::pair<std::string, bool>>{
            {"91.3", true}, {"88.0", true}, {"90.1", true}, {"77.2", true}});
  // The end of a line may come in the next read.
  CHECK(receive(codec, "79.5\r") == std::vector<std::pair<std::string, bool>>{{"79.5", true}});
  CHECK(receive(codec, "\n80.5\r\n") == std::vector<std::pair<std::string, bool>>{{"80.5", true}});
}

TEST_CASE("noise on the line and another baud rate give no reading, and the next line is read",
          "[codec]") {
  RadarLineCodec codec(pattern_of({"{speed}", "mph", {}, {}, false}));
  codec.idle();
  // "91.3\r" sent at 9600 baud and taken at 19200: each bit of its 8-N-1 frames is there twice, so
  // the receiver starts anew in their midst. None of the bytes is a digit.
  const std::string twice = "\x86\x98\xe0\x18\x86\x1e\x98\x1e";
  for (const auto& [text, read] : receive(codec, twice + "\n")) CHECK_FALSE(read);
  // A burst in the midst of a line takes that line, not the next.
  CHECK(receive(codec, std::string("91\xff\x00.3\r\n", 8)) ==
        std::vector<std::pair<std::string, bool>>{{std::string("91\xff\x00.3", 6), false}});
  CHECK(receive(codec, "88.0\r\n") == std::vector<std::pair<std::string, bool>>{{"88.0", true}});
  CHECK(codec.counts().readings == 1);
  CHECK(codec.counts().other_lines >= 2);
}
