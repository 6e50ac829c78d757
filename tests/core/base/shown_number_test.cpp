// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/shown_number.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace moundwork;

namespace {
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
}

TEST_CASE("Numbers get the digits that their uncertainty deserves", "[shown]") {
  // By hand: two significant digits of the resolution.
  CHECK(rounded(12.3456, 0.12) == "12.35");
  CHECK(rounded(12.3456, 3.0) == "12.3");
  CHECK(rounded(1234.5, 120.0) == "1235");
  CHECK(rounded(-0.001, 1.0) == "0.0");
  // One significant digit of the uncertainty, two where the first would be a 1 or a 2.
  CHECK(number_text(0.4637, 0.0041) == "0.464");
  CHECK(number_text(0.4637, 0.0018) == "0.4637");
  CHECK(number_text(36.42, 0.31) == "36.4");
  CHECK(measured_text({36.42, 0.31}) == "36.4 ± 0.3");
  CHECK(measured_text({36.42, 0.12}) == "36.42 ± 0.12");
  CHECK(measured_text({36.42, unknown}) == "36.4");
  CHECK(measured_text({36.42, 0.0}) == "36.4 ± 0");
}

TEST_CASE("A tie is rounded up, as people do", "[shown]") {
  CHECK(plain_text(37.25, 1) == "37.3");
  CHECK(plain_text(39.995, 2) == "40.00");
  CHECK(plain_text(0.125, 2) == "0.13");
  CHECK(plain_text(-2.5, 0) == "\u22123");
  CHECK(plain_text(37.2499, 1) == "37.2");
}

TEST_CASE("No number is shown with an exponent or as nan", "[shown]") {
  CHECK(number_text(1683.7, 41.0) == "1684");
  CHECK(number_text(1.683e9, unknown) == "1683000000");
  CHECK(number_text(-0.0001563, 0.000071) == "−0.00016");
  CHECK(number_text(1.0, 1e30) == "1");
  CHECK(number_text(1e-15, 1e-16) == "0.000000000000");
  CHECK(number_text(unknown, 0.1) == "not known");
  CHECK(measured_text({}) == "not known");
  CHECK(plain_text(unknown, 1) == "not known");
  CHECK(rounded(std::numeric_limits<double>::infinity(), 0.1) == "not known");
}

TEST_CASE("Differences have their sign, and minus is a true one", "[shown]") {
  CHECK(signed_text(0.449, 0.05) == "+0.45");
  CHECK(signed_text(-0.449, 0.05) == "−0.45");
  CHECK(signed_text(0.001, 0.5) == "0.0");
  CHECK(signed_text(-0.001, 0.5) == "0.0");
  CHECK(typed_minus("r −0.77, −0.9 to 3-4") == "r -0.77, -0.9 to 3-4");
}

TEST_CASE("A unit stands behind its number", "[shown]") {
  CHECK(with_unit("0.40", "m/s") == "0.40 m/s");
  CHECK(with_unit("0.40", "1") == "0.40");
  CHECK(with_unit("0.40", "") == "0.40");
  CHECK(with_unit("12", "°") == "12°");
  CHECK(with_unit("12", "%") == "12 %");
}
