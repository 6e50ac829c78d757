// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cells.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

using namespace moundwork::relate;

namespace {
TextColumn column(std::vector<std::string> cells) {
  TextColumn text{"day.csv, column 'speed'", std::move(cells), {}};
  text.lines.resize(text.cells.size());
  std::iota(text.lines.begin(), text.lines.end(), 2);
  return text;
}
}  // namespace

TEST_CASE("A unit at the end of a column's name is taken off", "[relate]") {
  CHECK(split_unit("impulse (N s)").name == "impulse");
  CHECK(split_unit("impulse (N s)").unit == "N s");
  CHECK(split_unit("impulse [N s]").unit == "N s");
  CHECK(split_unit("pitch_speed_mph").name == "pitch_speed");
  CHECK(split_unit("pitch_speed_mph").unit == "mph");
  CHECK(split_unit("mass_kg").unit == "kg");
  CHECK(split_unit("speed").unit.empty());
  CHECK(split_unit("(odd)").name == "(odd)");
  CHECK(split_unit("").name.empty());
  CHECK(split_unit("_mph").unit.empty());
}

TEST_CASE("Missing values have many marks", "[relate]") {
  for (const auto* mark : {"", "  ", "NA", "n/a", "NaN", "null", "-", ".", "?"})
    CHECK(is_missing(mark));
  CHECK_FALSE(is_missing("0"));
  CHECK_FALSE(is_missing("-1"));
}

TEST_CASE("Plain numbers, missing ones and the word processor's minus", "[relate]") {
  const auto read = read_numbers(column({"36.5", "", "\u22122", "+1e2", " 7 "}), "");
  REQUIRE(read);
  CHECK(read->values[0] == 36.5);
  CHECK(std::isnan(read->values[1]));
  CHECK(read->values[2] == -2.0);
  CHECK(read->values[3] == 100.0);
  CHECK(read->values[4] == 7.0);
  CHECK(read->unit.empty());
  CHECK(read->notes.empty());
}

TEST_CASE("Mixed units in one column become one, and it is said", "[relate]") {
  const auto read = read_numbers(column({"90 mph", "40 m/s", "88mph", "NA"}), "");
  REQUIRE(read);
  CHECK(read->unit == "mph");
  CHECK(read->values[1] == Approx(40.0 / 0.44704));  // 1 mph = 0.44704 m/s exactly
  CHECK(read->notes.size() == 1);
  CHECK(read->notes[0].find("m/s (1)") != std::string::npos);
  // A header with a unit decides.
  const auto headed = read_numbers(column({"90 mph", "40"}), "m/s");
  REQUIRE(headed);
  CHECK(headed->unit == "m/s");
  CHECK(headed->values[0] == Approx(90.0 * 0.44704));
  CHECK(headed->values[1] == 40.0);
}

TEST_CASE("Units that cannot be reconciled are refused in words", "[relate]") {
  const auto half = read_numbers(column({"90 mph", "40"}), "");
  REQUIRE_FALSE(half);
  CHECK(half.error().sentence().find("only some cells have a unit") != std::string::npos);
  CHECK_FALSE(read_numbers(column({"90 mph", "40 kg"}), ""));
  CHECK_FALSE(read_numbers(column({"90 furlongs", "88 mph"}), ""));
}

TEST_CASE("Text that is no number is refused with its line", "[relate]") {
  for (const auto* cell : {"fast", "12-14", "3/4", "1.2.3", "inf", "1e999", "1e300", "1e-300"}) {
    const auto read = read_numbers(column({"36.5", cell, "37"}), "");
    CAPTURE(cell);
    REQUIRE_FALSE(read);
    CHECK(read.error().sentence().find("line 3") != std::string::npos);
  }
}

TEST_CASE("Decimal commas are read where no point is used, and it is said", "[relate]") {
  const auto read = read_numbers(column({"36,5", "37", "38,25"}), "m/s");
  REQUIRE(read);
  CHECK(read->values[2] == 38.25);
  CHECK(read->notes.size() == 1);
  CHECK_FALSE(read_numbers(column({"36,5", "37.0"}), "m/s"));
}

TEST_CASE("Two units in a column without a word are suspected", "[relate]") {
  const std::vector<double> mixed{38.0, 39.5, 40.1, 37.2, 85.0, 88.0, 90.5, 84.0};
  CHECK(two_units_suspected(mixed, "speed").find("m/s and mph") != std::string::npos);
  // Speeds of one unit, a wide quantity, and a few far ones are not.
  CHECK(two_units_suspected(std::vector<double>{70, 75, 80, 85, 90, 95}, "speed").empty());
  CHECK(two_units_suspected(std::vector<double>{5, 12, 30, 70, 150, 310}, "impulse").empty());
  CHECK(two_units_suspected(std::vector<double>{38, 39, 40, 41, 42, 90}, "speed").empty());
  CHECK(two_units_suspected(std::vector<double>{}, "speed").empty());
  CHECK(two_units_suspected(std::vector<double>{-1, -2, -3, -40, -41, -42}, "speed").empty());
}
