// SPDX-License-Identifier: GPL-3.0-or-later
// That the run of the tests elsewhere (.ci/test elsewhere) is elsewhere.
#include <catch2/catch.hpp>
#include <clocale>
#include <cstdlib>
#include <string>

#include "core/base/time_zone.h"

using namespace moundwork;

TEST_CASE("the tests run where their surroundings say", "[base]") {
  const char* locale = std::getenv("LC_ALL");
  const std::string sign = std::localeconv()->decimal_point;
  CHECK(sign == (locale != nullptr && std::string(locale).starts_with("de_DE") ? "," : "."));
  if (std::getenv("FAKETIME") == nullptr) return;
  // Two seconds before UTC's midnight when the process began.
  const auto begun = from_iso_text("2026-07-04T23:59:58Z").value();
  CHECK(wall_now() >= begun);
  CHECK(wall_now() < begun + std::chrono::minutes(1));
  CHECK(day_in(wall_now(), computer_zone()) == "2026-07-04");
}
