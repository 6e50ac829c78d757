// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/time_zone.h"

#include <catch2/catch.hpp>
#include <string>

#include "support/time_zone.h"

using namespace moundwork;

namespace {

WallTime at(const char* text) { return from_iso_text(text).value(); }

}  // namespace

// Expected clocks from GNU date, as in: TZ=Asia/Kathmandu date -d 2026-07-04T18:14:59Z.
TEST_CASE("the day is the one where the clock hangs", "[base]") {
  CHECK(day_in(at("2026-07-05T02:30:00Z"), "America/Los_Angeles") == "2026-07-04");
  CHECK(day_in(at("2026-07-05T06:59:59Z"), "America/Los_Angeles") == "2026-07-04");
  CHECK(day_in(at("2026-07-05T07:00:00Z"), "America/Los_Angeles") == "2026-07-05");
  CHECK(day_in(at("2026-07-04T18:14:59Z"), "Asia/Kathmandu") == "2026-07-04");
  CHECK(day_in(at("2026-07-04T18:15:00Z"), "Asia/Kathmandu") == "2026-07-05");
  CHECK(local_text(at("2026-07-04T18:15:00Z"), "Asia/Kathmandu") == "2026-07-05T00:00:00");
}

TEST_CASE("the night on which the clock goes back has an hour twice", "[base]") {
  // In Paris on 25 October 2026 at 03:00 summer time it is 02:00 again.
  CHECK(local_text(at("2026-10-25T00:30:00Z"), "Europe/Paris") == "2026-10-25T02:30:00");
  CHECK(local_text(at("2026-10-25T01:30:00Z"), "Europe/Paris") == "2026-10-25T02:30:00");
  CHECK(utc_offset(at("2026-10-25T00:59:59Z"), "Europe/Paris") == std::chrono::hours(2));
  CHECK(utc_offset(at("2026-10-25T01:00:00Z"), "Europe/Paris") == std::chrono::hours(1));
  // The day has 25 hours.
  CHECK(day_in(at("2026-10-24T22:00:00Z"), "Europe/Paris") == "2026-10-25");
  CHECK(day_in(at("2026-10-25T22:59:59Z"), "Europe/Paris") == "2026-10-25");
  CHECK(day_in(at("2026-10-25T23:00:00Z"), "Europe/Paris") == "2026-10-26");
}

TEST_CASE("a name that is no zone is never opened as a file", "[base]") {
  CHECK(is_zone("UTC"));
  CHECK(is_zone("America/Argentina/Buenos_Aires"));
  for (const std::string name :
       {std::string(), std::string("Nowhere/At_All"),
        std::string("/usr/share/zoneinfo/Europe/Paris"), std::string("../zoneinfo/Europe/Paris"),
        std::string("Europe/"), std::string("file:x"), std::string(1000, 'a'),
        std::string("Europe/Paris\n"), std::string("Europe")}) {
    CAPTURE(name);
    CHECK_FALSE(is_zone(name));
    CHECK_FALSE(utc_offset(at("2026-07-05T02:30:00Z"), name));
    CHECK(local_text(at("2026-07-05T02:30:00Z"), name) == "2026-07-05T02:30:00");
  }
}

TEST_CASE("this computer's zone is the one that its clock shows", "[base]") {
  for (const auto& [set, name] : {std::pair{"America/Los_Angeles", "America/Los_Angeles"},
                                  {":Asia/Kathmandu", "Asia/Kathmandu"},
                                  {"/usr/share/zoneinfo/Europe/Paris", "Europe/Paris"},
                                  {"", "UTC"}}) {
    const support::TimeZone here(set);
    CHECK(computer_zone() == name);
  }
  const support::TimeZone nonsense("Nowhere/At_All");
  CHECK(is_zone(computer_zone()));
}
