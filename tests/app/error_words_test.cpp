// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/error_words.h"

#include <catch2/catch.hpp>

using namespace moundwork;

TEST_CASE("a command names its options where the core gives neutral advice", "[app]") {
  const Error there = fail("a.csv", "is already there", Remedy::another_place_or_replace).value();
  CHECK(there.sentence() ==
        "a.csv: is already there; choose another place, or let it be replaced.");
  CHECK(cli::error_words(there) ==
        "a.csv: is already there; choose another place with --out, or replace it with --force.");
  const Error plain = fail("a.csv", "is odd", "look at it").value();
  CHECK(cli::error_words(plain) == plain.sentence());
  // Every remedy has words without an option, and none names a command.
  for (int i = 1; i <= static_cast<int>(Remedy::forget_again); ++i) {
    const std::string advice = advice_of(static_cast<Remedy>(i));
    CAPTURE(advice);
    CHECK_FALSE(advice.empty());
    CHECK(advice.find("--") == std::string::npos);
    CHECK(advice.find("moundwork") == std::string::npos);
    CHECK_FALSE(cli::error_words({"x", "y", advice, static_cast<Remedy>(i)}).empty());
  }
}
