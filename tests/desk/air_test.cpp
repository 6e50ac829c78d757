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
