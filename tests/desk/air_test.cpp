// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/air.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::desk;

TEST_CASE("the air of a day is kept for that day alone") {
  const support::Folder folder;
  const LabFolder lab{folder.path()};
  CHECK_FALSE(air_of_day(lab, "2026-05-04").temperature.known());
  session::Conditions air;
  air.temperature = {21.0, 0.0};
  air.pressure = {100800.0, 0.0};
  REQUIRE(keep_air(lab, "2026-05-04T09:00:00Z", air));
  const session::Conditions kept = air_of_day(lab, "2026-05-04");
  CHECK(kept.temperature.value == Approx(21.0));
  CHECK(kept.temperature.u > 0.0);
  CHECK(kept.pressure.value == Approx(100800.0));
  CHECK_FALSE(kept.relative_humidity.known());
  CHECK_FALSE(air_of_day(lab, "2026-05-05").temperature.known());

  std::ofstream(folder / "air.toml") << "day = [";
  CHECK_FALSE(air_of_day(lab, "2026-05-04").temperature.known());
  CHECK_FALSE(keep_air({folder / "nowhere"}, "2026-05-04", air));
}

TEST_CASE("the air is taken as it was typed, in the unit that was chosen") {
  const auto read = [](const char* typed, TemperatureUnit unit) {
    return read_air({QString::fromUtf8(typed), unit, {}, {}});
  };
  CHECK(read("72", TemperatureUnit::fahrenheit)->temperature.value ==
        Approx(22.2222).epsilon(1e-4));
  CHECK(read("32", TemperatureUnit::fahrenheit)->temperature.value == Approx(0.0).margin(1e-9));
  CHECK(read("21,5", TemperatureUnit::celsius)->temperature.value == Approx(21.5));
  CHECK(read("\u22125", TemperatureUnit::celsius)->temperature.value == Approx(-5.0));
  // One limit, whatever it is typed in: -30 degrees Celsius are -22 Fahrenheit.
  CHECK(read("-21", TemperatureUnit::fahrenheit));
  CHECK_FALSE(read("-23", TemperatureUnit::fahrenheit));
  CHECK_FALSE(read("-31", TemperatureUnit::celsius));
  CHECK_FALSE(read("", TemperatureUnit::celsius)->temperature.known());
  // No digit is dropped: 72 is never 7.
  const auto hot = read("72", TemperatureUnit::celsius);
  REQUIRE_FALSE(hot);
  CHECK(hot.error().sentence().find("72 °C") != std::string::npos);
  CHECK(hot.error().sentence().find("unit") != std::string::npos);
  CHECK_FALSE(read("warm", TemperatureUnit::celsius));
  CHECK_FALSE(read_air({{}, TemperatureUnit::celsius, QStringLiteral("29.92"), {}}));
  CHECK_FALSE(read_air({{}, TemperatureUnit::celsius, {}, QStringLiteral("450")}));
  const auto all = read_air({QStringLiteral("20"), TemperatureUnit::celsius,
                             QStringLiteral("1013.2"), QStringLiteral("45")});
  REQUIRE(all);
  CHECK(all->pressure.value == Approx(101320.0));
  CHECK(all->relative_humidity.value == Approx(0.45));
  // What is known stands there again, in either unit.
  CHECK(typed_air(*all, TemperatureUnit::fahrenheit).temperature == QStringLiteral("68"));
  CHECK(typed_air(*all, TemperatureUnit::celsius).pressure == QStringLiteral("1013.2"));
  CHECK(typed_air({}, TemperatureUnit::celsius).humidity.isEmpty());
}
