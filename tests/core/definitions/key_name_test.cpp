// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/key_name.h"

#include <catch2/catch.hpp>
#include <cstddef>
#include <set>

#include "core/definitions/quantity_names.h"

using namespace moundwork::definitions;

TEST_CASE("a key is said as people say it") {
  CHECK(key_name("lead_contact") == "lead contact");
  CHECK(key_name("braking_peak_force_bw") == "braking peak force per body weight");
  CHECK(key_name("no_radar") == "no radar");
  CHECK(key_name("low, arm side") == "low, arm side");
}

TEST_CASE("every event and quantity has a name of its own") {
  std::set<std::string> names;
  for (std::size_t i = 0; i < event_count; ++i) names.insert(event_name(static_cast<Event>(i)));
  for (std::size_t i = 0; i < quantity_count; ++i)
    names.insert(quantity_name(static_cast<Quantity>(i)));
  CHECK(names.size() == event_count + quantity_count);
  for (const std::string& name : names) CHECK(name.find('_') == std::string::npos);
}
