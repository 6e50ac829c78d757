// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/signal/series.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork;
using Eigen::ArrayXd;

namespace {
ArrayXd of(std::initializer_list<double> values) {
  ArrayXd array(static_cast<Eigen::Index>(values.size()));
  std::copy(values.begin(), values.end(), array.begin());
  return array;
}
}  // namespace

TEST_CASE("values between samples lie on the line between them and the ends hold") {
  const ArrayXd v = of({0, 10, 30});
  CHECK(signal::value_at(v, 0.5) == 5.0);
  CHECK(signal::value_at(v, 1.25) == 15.0);
  CHECK(signal::value_at(v, -3) == 0.0);
  CHECK(signal::value_at(v, 7) == 30.0);
}

TEST_CASE("a parabola's top is found between its samples") {
  const ArrayXd t = ArrayXd::LinSpaced(11, 0, 10);
  const ArrayXd v = 5.0 - (t - 4.3).square();
  const auto top = signal::greatest(v, 0, 10);
  CHECK(top.index == Approx(4.3).margin(1e-12));
  CHECK(top.value == Approx(5.0).margin(1e-12));
  CHECK(std::isnan(signal::greatest(v, 3.2, 3.4).index));
  // At the range's end the greatest sample is not a peak, so nothing is refined.
  CHECK(signal::greatest(v, 6, 10).index == 6.0);
}

TEST_CASE("a rise counts only when it holds") {
  const ArrayXd v = of({0, 4, 0, 0, 2, 6, 7, 8, 9});
  CHECK(signal::first_rise(v, 3, 0, 8, 1) == Approx(0.75));
  CHECK(signal::first_rise(v, 3, 0, 8, 3) == Approx(4.25));
  CHECK(std::isnan(signal::first_rise(v, 3, 0, 8, 6)));
  CHECK(std::isnan(signal::first_rise(v, 3, 6, 8, 1)));
  CHECK(signal::last_rise(v, 3, 0, 8) == Approx(4.25));
  CHECK(signal::last_fall(v, 3, 0, 8) == Approx(1.25));
}

TEST_CASE("integrals take parts of samples at both ends") {
  const ArrayXd v = of({0, 1, 2, 3, 4});
  CHECK(signal::integral(v, 0, 4) == Approx(8.0));
  CHECK(signal::integral(v, 0.5, 2.5) == Approx(3.0));
  CHECK(signal::integral(v, 1.25, 1.75) == Approx(0.75));
  // Held ends outside: 0 before and 4 after.
  CHECK(signal::integral(v, -2.5, 1) == Approx(0.5));
  CHECK(signal::integral(v, 3, 6.5) == Approx(3.5 + 2.5 * 4));
  CHECK(signal::integral(v, 5.25, 7.5) == Approx(2.25 * 4));
  CHECK(signal::positive_integral(of({3, -1, -1, 3}), -1, 4) == Approx(2 * 3 + 2 * 1.125));
  // From -2 to 2 through zero: only the triangle above counts.
  CHECK(signal::positive_integral(of({-2, 2}), 0, 1) == Approx(0.5));
}

TEST_CASE("the greatest slope of a ramp is its slope") {
  const ArrayXd v = ArrayXd::LinSpaced(50, 0, 98);
  CHECK(signal::greatest_slope(v, 0, 49, 20) == Approx(2.0));
  CHECK(std::isnan(signal::greatest_slope(v, 0, 10, 20)));
}
