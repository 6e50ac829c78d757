// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/room_watch.h"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

using moundwork::drivers::RoomWatch;

TEST_CASE("little room is said once a halving, not once a megabyte", "[recorder]") {
  constexpr std::uintmax_t megabyte = 1 << 20;
  RoomWatch watch(1000 * megabyte);
  std::vector<std::string> said;
  for (std::uintmax_t left = 1200; left > 100; --left)
    if (const std::string now = watch.look(left * megabyte);
        !now.empty() && (said.empty() || said.back() != now))
      said.push_back(now);
  CHECK(said == std::vector<std::string>{
                    "Only 999 MB are left on the disk.", "Only 499 MB are left on the disk.",
                    "Only 249 MB are left on the disk.", "Only 124 MB are left on the disk."});
  // Where others made room it is no longer said, and is said anew when that is gone too.
  CHECK(watch.look(2000 * megabyte).empty());
  CHECK(watch.look(900 * megabyte) == "Only 900 MB are left on the disk.");
  CHECK(watch.look(0) == "Only 0 MB are left on the disk.");
}
