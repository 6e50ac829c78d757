// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/date.h"

#include <catch2/catch.hpp>

using moundwork::age_at;

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
