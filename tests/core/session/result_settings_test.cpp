// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/result_settings.h"

#include <catch2/catch.hpp>

using namespace moundwork;

TEST_CASE("settings that cannot be read are a sentence", "[output]") {
  session::ResultSet results;
  for (const char* text : {"", "{", "[1]", "{\"no_such_setting\": 1}"}) {
    results.settings = text;
    const auto settings = session::settings_of(results, "day/one.h5");
    REQUIRE(!settings);
    CHECK(settings.error().sentence().find("day/one.h5") == 0);
  }
  results.settings = R"({"low_pass": 40})";
  const auto settings = session::settings_of(results, "day/one.h5");
  REQUIRE(settings);
  CHECK(settings->low_pass == 40.0);
  CHECK(settings->contact_level == definitions::Settings{}.contact_level);
}
