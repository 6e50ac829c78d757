// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/table/csv_cell.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <string>

#include "support/number.h"

using namespace moundwork::table;

TEST_CASE("a text that a spreadsheet would run is made harmless", "[table]") {
  CHECK(harmless("=1+1") == "'=1+1");
  CHECK(harmless("+49 30") == "'+49 30");
  CHECK(harmless("-2 clicks") == "'-2 clicks");
  CHECK(harmless("@home") == "'@home");
  CHECK(harmless("\tx") == "'\tx");
  CHECK(harmless("\rx") == "'\rx");
  CHECK(harmless("  =1+1") == "'  =1+1");
  // Others stay as they are, and one apostrophe less always gives back the original.
  for (const char* text : {"", "fastball", "a=b", "'t Hooft", "5-2", " - "}) {
    const std::string safe = harmless(text);
    if (safe != text) CHECK(safe == std::string("'") + text);
    CHECK(original_of(safe) == text);
  }
  CHECK(harmless("'t Hooft") == "'t Hooft");
  CHECK(harmless("'=1") == "''=1");
  for (const char* text : {"=1", "'=1", " +1", "''-", "-"})
    CHECK(original_of(harmless(text)) == text);
  CHECK(harmless("a\xff") == "a\xef\xbf\xbd");
  CHECK(harmless("J\xc3\xb6rg") == "J\xc3\xb6rg");
}

TEST_CASE("cells are quoted as RFC 4180 says", "[table]") {
  CHECK(text_cell("plain") == "plain");
  CHECK(text_cell("a,b") == "\"a,b\"");
  CHECK(text_cell("say \"no\"") == "\"say \"\"no\"\"\"");
  CHECK(text_cell("two\nlines") == "\"two\nlines\"");
  CHECK(text_cell("=HYPERLINK(\"x\",\"y\")") == "\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\"");
}

TEST_CASE("numbers keep their sign and every digit", "[table]") {
  CHECK(number_cell(-1.5) == "-1.5");
  CHECK(number_cell(std::nan("")).empty());
  CHECK(number_cell(std::numeric_limits<double>::infinity()).empty());
  for (const double value : {0.1, 1.0 / 3.0, 1e-300, -123456.789, 9.80665})
    CHECK(moundwork::support::number_of(number_cell(value)) == value);
  CHECK(number_cell(0.125, 2) == "0.12");
  CHECK(number_cell(2.0, 3) == "2.000");
}
