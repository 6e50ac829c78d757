// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/one_line.h"

#include <catch2/catch.hpp>

using moundwork::one_line;

// Which characters these are: the Unicode Standard, names list and annex 9.
TEST_CASE("a typed text becomes one line that acts on nothing around it", "[base]") {
  CHECK(one_line("Mara Quill") == "Mara Quill");
  CHECK(one_line("Line\nTwo\tTab\r") == "Line Two Tab ");
  CHECK(one_line("\u2028a\u2029b\u0085c") == " a b c");
  CHECK(one_line("\x1b[31mRed\a\x7f\u009b2J") == "[31mRed2J");
  CHECK(one_line("Ann\u202eevil\u202c\u2066x\u2069") == "Annevilx");
  CHECK(one_line("").empty());
  // Letters, accents and marks of all scripts stay.
  const std::string kept = "\u017dan \u201cBo\u201d O\u2019Quill \u05d3\u05d5\u05d3 \u5c71\u7530";
  CHECK(one_line(kept) == kept);
  // Cut sequences, one mark each: the Unicode Standard, section 3.9.
  CHECK(one_line("\xe2\x80") == "\ufffd");
  CHECK(one_line("\xc2") == "\ufffd");
}
