// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/flag_catalogue.h"

#include <catch2/catch.hpp>
#include <set>

#include "core/session/flagged.h"

using namespace moundwork;

TEST_CASE("every flag has a place of its own in lists, the harmless ones the last") {
  std::set<std::size_t> places;
  std::set<std::string_view> keys;
  for (std::size_t i = 0; i < definitions::flag_count; ++i) {
    const auto key = definitions::entry(static_cast<definitions::Flag>(i)).key;
    CAPTURE(key);
    CHECK(definitions::place_in_lists(key) > 0);
    keys.insert(key);
    places.insert(definitions::place_in_lists(key));
  }
  CHECK(places.size() == keys.size());
  CHECK(*places.rbegin() == definitions::place_in_lists("assumed_air"));

  const auto read = session::in_reading_order({{"assumed_air", ""},
                                               {"estimated_foot_line", ""},
                                               {"estimated_release", ""},
                                               {"clock_disagrees", ""},
                                               {"heavier_than_stated", ""}});
  std::vector<std::string> order;
  for (const session::ResultFlag& flag : read) order.push_back(flag.key);
  CHECK(order == std::vector<std::string>{"heavier_than_stated", "clock_disagrees",
                                          "estimated_release", "estimated_foot_line",
                                          "assumed_air"});
}
