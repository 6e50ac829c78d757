// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/folded_text.h"

#include <catch2/catch.hpp>
#include <string>

using moundwork::folded;
using moundwork::Umlauts;

// Foldings of the Unicode Character Database: CaseFolding.txt (statuses C and F), UnicodeData.txt.
TEST_CASE("what is typed in several ways folds to one text", "[base]") {
  CHECK(folded("Zo\u00eb").letters == U"zoe");
  CHECK(folded("Zoe\u0308").letters == U"zoe");
  CHECK(folded("STRASSE").letters == folded("stra\u00dfe").letters);
  CHECK(folded("\u03a3\u03af\u03c3\u03c5\u03c6\u03bf\u03c2").letters ==
        folded("\u03a3\u038a\u03a3\u03a5\u03a6\u039f\u03a3").letters);
  CHECK(folded("\ufb01\uff4e").letters == U"fin");
  CHECK(folded("\u0130I\u0131i").letters == U"iiii");
  CHECK(folded("a\u00ad\u200bb").letters == U"ab");
  CHECK(folded("\u0e01\u0e34").letters == U"\u0e01\u0e34");  // a vowel sign is a letter
  CHECK(folded("M\u00fcller", Umlauts::spelt_out).letters == U"mueller");
  CHECK(folded("Mu\u0308ller", Umlauts::spelt_out).letters == U"mueller");
}

TEST_CASE("each folded letter tells the bytes it came from", "[base]") {
  const std::string text = "e\u0308\u00ad\u00df!";
  const auto small = folded(text);
  REQUIRE(small.letters == U"ess!");
  CHECK(small.begin == std::vector<std::size_t>{0, 5, 5, 7});
  CHECK(small.end == std::vector<std::size_t>{3, 7, 7, 8});
  CHECK(small.divides_source(1));
  CHECK(!small.divides_source(2));
  const auto broken = folded("\xc3z");
  CHECK(broken.letters == U"\ufffdz");
}
