// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/wall_time.h"

#include <catch2/catch.hpp>

using namespace moundwork::drivers;

TEST_CASE("wall times are written and read as ISO 8601", "[recorder]") {
  // Seconds since 1970 from GNU date.
  const auto time = from_iso_text("2024-02-29T23:59:59.000250Z");
  REQUIRE(time);
  CHECK(time->time_since_epoch() == std::chrono::microseconds(1709251199'000250));
  CHECK(iso_text(*time) == "2024-02-29T23:59:59.000250Z");
  CHECK(from_iso_text("2026-04-18T09:30:00Z")->time_since_epoch() ==
        std::chrono::seconds(1776504600));
  // A session over midnight, at the end of a leap year's February.
  CHECK(*from_iso_text("2024-03-01T00:00:01Z") - *time == std::chrono::microseconds(1'999'750));
}

TEST_CASE("what is no wall time is refused", "[recorder]") {
  for (const char* text :
       {"", "yesterday", "2026-04-18", "2026-04-18T09:30:00", "2026-02-30T09:30:00Z",
        "2026-04-18T25:30:00Z", "2026-04-18T09:61:00Z", "2026-04-18T09:30:00.5Z",
        "2026-04-18T09:30:00Z tomorrow", "-026-04-18T09:30:00Z"}) {
    CAPTURE(text);
    CHECK_FALSE(from_iso_text(text));
  }
}
