// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <catch2/catch.hpp>

#include "app/desk/kinds/list.h"
#include "core/session/kinds/list.h"

using namespace moundwork;

TEST_CASE("the window can show every kind that sends events, and no other", "[kinds]") {
  for (const session::Kind* kind : session::kinds()) {
    CAPTURE(kind->key);
    const auto shown = desk::shown_kinds();
    const auto count = std::count_if(shown.begin(), shown.end(), [&](const desk::ShownKind* one) {
      return one->key == kind->key;
    });
    CHECK(count == (kind->events ? 1 : 0));
  }
  for (const desk::ShownKind* shown : desk::shown_kinds()) {
    CAPTURE(shown->key);
    CHECK(session::kind_of(shown->key) != nullptr);
    CHECK_FALSE(shown->none.isEmpty());
    CHECK(shown->many.contains(QStringLiteral("%1")));
    CHECK(shown->refused.contains(QStringLiteral("%1")));
  }
}
