// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/regression.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/stats/reference_data.h"

using namespace moundwork::stats;

TEST_CASE("NIST Norris: certified linear regression", "[stats]") {
  const auto x = Eigen::Map<const Eigen::VectorXd>(reference::norris_x.data(), 36);
  const auto y = Eigen::Map<const Eigen::VectorXd>(reference::norris_y.data(), 36);
  Eigen::MatrixXd X(36, 2);
  X << Eigen::VectorXd::Ones(36), x;
  const auto fit = least_squares(X, y);
  REQUIRE(fit);
  // Certified values of the NIST Statistical Reference Datasets.
  CHECK(fit->coefficients[0] == Approx(-0.262323073774029).epsilon(1e-11));
  CHECK(fit->coefficients[1] == Approx(1.00211681802045).epsilon(1e-13));
  CHECK(std::sqrt(fit->covariance(0, 0)) == Approx(0.232818234301152).epsilon(1e-11));
  CHECK(std::sqrt(fit->covariance(1, 1)) == Approx(0.000429796848199937).epsilon(1e-11));
  CHECK(fit->residual_sd == Approx(0.884796396144373).epsilon(1e-12));
  CHECK(fit->r_squared == Approx(0.999993745883712).epsilon(1e-14));
  CHECK(fit->residuals.squaredNorm() == Approx(26.6173985294224).epsilon(1e-12));
  CHECK(fit->df == 34.0);
}

TEST_CASE("Regression refuses what it cannot determine, in words", "[stats]") {
  Eigen::MatrixXd X(4, 2);
  X << 1, 2, 1, 2, 1, 2, 1, 2;
  const Eigen::VectorXd y = Eigen::VectorXd::LinSpaced(4, 0.0, 1.0);
  const auto copy = least_squares(X, y);
  REQUIRE_FALSE(copy);
  CHECK(copy.error().sentence().find("copy") != std::string::npos);
  X.col(1).setZero();
  CHECK_FALSE(least_squares(X, y));
  CHECK_FALSE(least_squares(X.topRows(2), y.head(2)));
}
