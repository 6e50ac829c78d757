// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <catch2/catch.hpp>

#include "core/model/kinds/list.h"
#include "core/session/kinds/list.h"
#include "drivers/kinds/list.h"

using namespace moundwork;

TEST_CASE("every kind that a session file holds can stand in a station file, and no other",
          "[kinds]") {
  for (const session::Kind* kind : session::kinds()) {
    CAPTURE(kind->key);
    const auto stations = drivers::station_kinds();
    CHECK(std::count_if(stations.begin(), stations.end(), [&](const drivers::StationKind* one) {
            return one->key == kind->key;
          }) == 1);
  }
  for (const drivers::StationKind* one : drivers::station_kinds()) {
    CAPTURE(one->key);
    CHECK(session::kind_of(one->key) != nullptr);
  }
  for (const model::ModelKind* one : model::model_kinds()) {
    CAPTURE(one->key);
    CHECK(session::kind_of(one->key) != nullptr);
  }
}
