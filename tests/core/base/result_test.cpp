// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/result.h"

#include <catch2/catch.hpp>

using moundwork::fail;

TEST_CASE("an error is one sentence: where, what, what to do, and one full stop", "[base]") {
  CHECK(fail("a.h5", "is cut off", "record it again").value().sentence() ==
        "a.h5: is cut off; record it again.");
  CHECK(fail("", "is cut off").value().sentence() == "is cut off.");
  const auto inner = fail("plate", "has no samples");
  CHECK(fail("a.h5", inner.value().sentence()).value().sentence() ==
        "a.h5: plate: has no samples.");
}
