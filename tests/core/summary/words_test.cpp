// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/words.h"

#include <catch2/catch.hpp>

#include "core/summary/axes.h"

using namespace moundwork::summary;

TEST_CASE("Times are read as people write them; what is none stays", "[summary]") {
  CHECK(date_and_time("2026-05-04T08:05:00") == "4 May 2026, 08:05");
  CHECK(date_and_time("2026-12-31T23:59:30+02:00") == "31 December 2026, 23:59");
  CHECK(date_and_time("2026-05-04") == "4 May 2026");
  CHECK(date_only("2026-01-31T23:59:30") == "31 January 2026");
  for (const char* odd : {"", "spring", "2026-13-04", "2026-05"}) CHECK(date_and_time(odd) == odd);
}

TEST_CASE("Throws are listed as ranges", "[summary]") {
  CHECK(throws_text({3}, 5) == "throw 3");
  CHECK(throws_text({1, 2}, 5) == "throws 1 and 2");
  CHECK(throws_text({1, 2, 3, 7}, 8) == "throws 1 to 3 and 7");
  CHECK(throws_text({1, 2, 3}, 3) == "all throws");
  CHECK(throws_text({1}, 1) == "throw 1");
}

TEST_CASE("Ticks are round and lie within their range", "[summary]") {
  CHECK(round_ticks({0.0, 10.0}, 5) == std::vector<double>{0.0, 2.0, 4.0, 6.0, 8.0, 10.0});
  const auto ticks = round_ticks({-0.55, 0.35}, 4);
  CHECK(tick_text(ticks.front(), ticks) == "−0.4");
  CHECK(tick_text(ticks.back(), ticks) == "0.2");
  CHECK(round_ticks({3.0, 3.0}, 4).size() == 1);
}
