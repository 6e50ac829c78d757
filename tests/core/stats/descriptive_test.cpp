// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/descriptive.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/stats/reference_data.h"

using namespace moundwork::stats;

TEST_CASE("NIST Michelso: certified mean, deviation and autocorrelation", "[stats]") {
  // Certified for the speed in 1000 km/s, where the mean takes four of the digits (6.8).
  const Eigen::VectorXd x =
      (Eigen::Map<const Eigen::VectorXd>(reference::michelson_speed.data(), 100) / 1000.0).array() +
      299.0;
  CHECK(x.mean() == Approx(299.8524).epsilon(1e-14));
  CHECK(standard_deviation(x) == Approx(0.0790105478190518).epsilon(1e-12));
  CHECK(lag_one_autocorrelation(x) == Approx(0.535199668621263).epsilon(1e-12));
}

TEST_CASE("Ties share their mean rank and are counted", "[stats]") {
  const Eigen::VectorXd x = (Eigen::VectorXd(6) << 3, 1, 3, 2, 3, 2).finished();
  const Eigen::VectorXd ranks = (Eigen::VectorXd(6) << 5, 1, 5, 2.5, 5, 2.5).finished();  // by hand
  CHECK(mid_ranks(x) == ranks);
  CHECK(tied_values(x) == 5);
  CHECK(tied_values(x.head(2)) == 0);
}

TEST_CASE("A column that differs by rounding only is constant", "[stats]") {
  CHECK(is_constant((Eigen::VectorXd(3) << 0.3, 0.1 + 0.2, 0.3).finished()));
  CHECK_FALSE(is_constant((Eigen::VectorXd(2) << 1.0, 1.0 + 1e-9).finished()));
  CHECK(is_constant(Eigen::VectorXd()));
}

TEST_CASE("Quantiles by linear interpolation of order statistics", "[stats]") {
  const Eigen::VectorXd x = (Eigen::VectorXd(4) << 1, 2, 4, 8).finished();
  // (n - 1) p = 0.75, 1.5 and 3: by hand after Hyndman and Fan's type 7.
  CHECK(sorted_quantile(x, 0.25) == Approx(1.75));
  CHECK(sorted_quantile(x, 0.5) == Approx(3.0));
  CHECK(sorted_quantile(x, 1.0) == 8.0);
  CHECK(std::isnan(sorted_quantile(Eigen::VectorXd(), 0.5)));
}
