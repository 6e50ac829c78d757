// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/errors_in_variables.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork::stats;

namespace {
// Corn yield on soil nitrogen with known error variance 57: Fuller 1987, Measurement Error Models,
// example 1.2.1 (data and printed results from memory; they agree with each other).
const Eigen::VectorXd nitrogen =
    (Eigen::VectorXd(11) << 70, 97, 53, 64, 95, 64, 50, 70, 94, 69, 51).finished();
const Eigen::VectorXd corn_yield =
    (Eigen::VectorXd(11) << 86, 115, 90, 86, 110, 91, 99, 96, 99, 104, 96).finished();
Eigen::VectorXd centred(const Eigen::VectorXd& x) { return (x.array() - x.mean()).matrix(); }
}  // namespace

TEST_CASE("Fuller's corn: the slope without the error of measurement", "[stats]") {
  const auto a = errors_in_x(centred(nitrogen), centred(corn_yield), 10.0, 57.0, 0.95);
  CHECK(a.corrected.value == Approx(0.4232).margin(5e-5));
  CHECK(a.corrected.u == Approx(0.1745).margin(5e-5));
  CHECK(a.reliability == Approx(1.0 - 57.0 / 304.8545).epsilon(1e-6));
  CHECK(a.plain.value == Approx(a.corrected.value * a.reliability).epsilon(1e-12));
}

TEST_CASE("Without error of measurement both slopes are the same", "[stats]") {
  const auto a = errors_in_x(centred(nitrogen), centred(corn_yield), 10.0, 0.0, 0.95);
  CHECK(a.corrected.value == Approx(a.plain.value).epsilon(1e-14));
  CHECK(a.corrected.u == Approx(a.plain.u).epsilon(1e-12));
}

TEST_CASE("An error as large as the spread leaves no slope to give", "[stats]") {
  const auto a = errors_in_x(centred(nitrogen), centred(corn_yield), 10.0, 305.0, 0.95);
  CHECK(a.reliability < 0.0);
  CHECK(std::isnan(a.corrected.value));
  CHECK(std::isfinite(a.plain.value));
}
