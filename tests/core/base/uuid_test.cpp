// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/uuid.h"

#include <catch2/catch.hpp>
#include <regex>
#include <set>

using namespace moundwork;

TEST_CASE("identities are version 4 UUIDs as RFC 4122 writes them, each another") {
  // Section 4.4: the version is 4, the variant's two highest bits are 1 and 0.
  const std::regex form("[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}");
  std::set<std::string> seen;
  for (int i = 0; i < 100; ++i) {
    const std::string id = new_uuid();
    CHECK(std::regex_match(id, form));
    seen.insert(id);
  }
  CHECK(seen.size() == 100);
}
