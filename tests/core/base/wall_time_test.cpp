// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/wall_time.h"

#include <catch2/catch.hpp>

using namespace moundwork;

TEST_CASE("wall times are written and read as ISO 8601", "[base]") {
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

TEST_CASE("what is no wall time is refused", "[base]") {
  for (const char* text :
       {"", "yesterday", "2026-04-18", "2026-04-18T09:30:00", "2026-02-30T09:30:00Z",
        "2026-04-18T25:30:00Z", "2026-04-18T09:61:00Z", "2026-04-18T09:30:00.Z",
        "2026-04-18T09:30:00Z tomorrow", "-026-04-18T09:30:00Z"}) {
    CAPTURE(text);
    CHECK_FALSE(from_iso_text(text));
  }
}

TEST_CASE("a fraction of a second is read to the microsecond", "[base]") {
  const auto whole = from_iso_text("2026-04-18T09:30:00Z");
  REQUIRE(whole);
  using std::chrono::microseconds;
  CHECK(*from_iso_text("2026-04-18T09:30:00.5Z") - *whole == microseconds(500'000));
  CHECK(*from_iso_text("2026-04-18T09:30:00.042Z") - *whole == microseconds(42'000));
  CHECK(*from_iso_text("2026-04-18T09:30:00.123456789Z") - *whole == microseconds(123'456));
  CHECK_FALSE(from_iso_text("2026-04-18T09:30:00.1234567891Z"));
}

TEST_CASE("a local text is what a clock ahead of UTC or behind it shows", "[base]") {
  const auto time = from_iso_text("2026-07-05T02:30:00.999999Z");
  REQUIRE(time);
  CHECK(local_text(*time, std::chrono::hours(-7)) == "2026-07-04T19:30:00");
  CHECK(local_text(*time, std::chrono::minutes(345)) == "2026-07-05T08:15:00");
}

TEST_CASE("a date is a day of the calendar and nothing more", "[base]") {
  CHECK(is_date("2024-02-29"));
  CHECK(iso_date(*date_of("2024-02-29T23:59:59Z")) == "2024-02-29");
  for (const char* none : {"", "2023-02-29", "2024-02-29T00:00:00Z", "2024-2-9", "29.02.2024"}) {
    CAPTURE(none);
    CHECK_FALSE(is_date(none));
  }
}

// Expected values from the calendar alone.
TEST_CASE("age is whole years and changes on the birthday", "[base]") {
  CHECK(age_at("2010-06-15", "2026-06-14T23:59:59Z") == 15);
  CHECK(age_at("2010-06-15", "2026-06-15T00:00:00Z") == 16);
  CHECK(age_at("2010-06-15", "2010-06-15") == 0);
  CHECK(age_at("2012-02-29", "2026-02-28") == 13);
  CHECK(age_at("2012-02-29", "2026-03-01") == 14);
}

TEST_CASE("there is no age without two dates in their order", "[base]") {
  for (const char* no_date : {"", "2004", "06.05.2004", "2004-13-01", "2003-02-29", "2004-1a-01",
                              "-004-05-06", "2004-05"}) {
    CAPTURE(no_date);
    CHECK_FALSE(age_at(no_date, "2026-05-05"));
    CHECK_FALSE(age_at("2004-05-06", no_date));
  }
  CHECK_FALSE(age_at("2026-05-06", "2026-05-05"));
}
