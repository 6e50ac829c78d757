// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/units.h"

#include <catch2/catch.hpp>
#include <string>

using moundwork::Dimension;
using moundwork::parse_quantity;

namespace {

double metres(const char* text) { return parse_quantity(text, Dimension::length, "here").value(); }

}  // namespace

TEST_CASE("quantities are read as people type them", "[units]") {
  // Foot, inch, pound and mile by the international agreement of 1959: 0.3048 m, 0.0254 m,
  // 0.45359237 kg, 1609.344 m.
  CHECK(metres("6ft1in") == Approx(6 * 0.3048 + 0.0254).epsilon(1e-12));
  CHECK(metres("6 ft 1.5 in") == Approx(6 * 0.3048 + 1.5 * 0.0254).epsilon(1e-12));
  CHECK(metres(" 6ft0in ") == Approx(6 * 0.3048).epsilon(1e-12));
  CHECK(metres("73in") == Approx(73 * 0.0254).epsilon(1e-12));
  CHECK(metres("185.4 cm") == Approx(1.854).epsilon(1e-12));
  CHECK(*parse_quantity("211lb", Dimension::mass, "here") ==
        Approx(211 * 0.45359237).epsilon(1e-12));
  CHECK(*parse_quantity("91.8mph", Dimension::speed, "here") ==
        Approx(91.8 * 1609.344 / 3600).epsilon(1e-12));
  CHECK(*parse_quantity("147.6 km/h", Dimension::speed, "here") == Approx(41.0).epsilon(1e-12));
  // 32 F is where water freezes, 212 F where it boils.
  CHECK(*parse_quantity("212F", Dimension::temperature, "here") == Approx(100.0));
  CHECK(*parse_quantity("32 degF", Dimension::temperature, "here") == Approx(0.0).margin(1e-12));
  CHECK(*parse_quantity("1383.3 ms", Dimension::time, "here") == Approx(1.3833).epsilon(1e-12));
}

TEST_CASE("what could mean two things is refused with what to write", "[units]") {
  const char* refused[] = {"6ft13in", "6ft-1in", "6ft1",    "6ft1ft1in", "6ft1cm",
                           "-6ft1in", "1,854m",  "1,500 m", "1.854",     "",
                           "nan m",   "1e999m",  "inf m",   "1.8M",      "1.8 1m"};
  for (const char* text : refused) {
    CAPTURE(text);
    const auto read = parse_quantity(text, Dimension::length, "--height");
    REQUIRE_FALSE(read);
    CHECK(read.error().where == "--height");
    CHECK_FALSE(read.error().advice.empty());
  }
  CHECK(parse_quantity("95,7 kg", Dimension::mass, "--mass").error().sentence().find("comma") !=
        std::string::npos);
}
