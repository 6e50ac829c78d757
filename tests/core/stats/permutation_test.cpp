// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/permutation.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork::stats;

namespace {
const Eigen::VectorXd values =
    (Eigen::VectorXd(9) << 5.1, 6.3, 7.2, 6.8, 4.9, 5.6, 5.0, 6.1, 5.3).finished();
const std::vector<bool> first_four{true, true, true, true, false, false, false, false, false};
const Groups one_stratum{std::vector<int>(9, 0), 1};
}  // namespace

TEST_CASE("Every permutation of one stratum: SciPy's null distribution", "[stats]") {
  // tests/reference/relate_stats.py, SciPy 1.10.1 permutation_test and a brute-force interval.
  const auto e = stratified_effect(values, first_four, one_stratum, 0.95, {});
  CHECK(e.exact);
  CHECK(e.permutations == 126);
  CHECK(e.effect == Approx(0.97).epsilon(1e-12));
  CHECK(e.p == Approx(0.087301587302).epsilon(1e-10));
  CHECK(e.low == Approx(-0.2).margin(1e-8));
  CHECK(e.high == Approx(1.946153846).epsilon(1e-8));
  CHECK(e.marked == 4);
  CHECK(e.others == 5);
}

TEST_CASE("Drawn permutations come close to all of them", "[stats]") {
  // The ends are order statistics of 126 arrangements: half-way between the seventh and the eighth,
  // a hundred thousand draws pick the same ones.
  const double level = 1.0 - 7.5 / 126.0;
  const auto all = stratified_effect(values, first_four, one_stratum, level, {});
  const auto drawn = stratified_effect(values, first_four, one_stratum, level,
                                       {.permutations = 99999, .most_exact = 10, .seed = 3});
  CHECK(all.exact);
  CHECK_FALSE(drawn.exact);
  CHECK(drawn.permutations == 100000);
  // Four standard errors of a share of 0.0873 in 99999 draws.
  CHECK(drawn.p == Approx(0.0873).margin(0.0036));
  CHECK(drawn.low == Approx(all.low).epsilon(1e-9));
  CHECK(drawn.high == Approx(all.high).epsilon(1e-9));
}

TEST_CASE("Only marks within a stratum are exchanged", "[stats]") {
  // By hand: two strata of a pair each, marked 1 and 3 above; four arrangements give the summed
  // effects (1+3), (1-3), (-1+3), (-1-3) over two, so two of the four are as large.
  const Eigen::VectorXd y = (Eigen::VectorXd(4) << 11.0, 10.0, 53.0, 50.0).finished();
  const auto e = stratified_effect(y, {true, false, true, false}, {{0, 0, 1, 1}, 2}, 0.95, {});
  CHECK(e.permutations == 4);
  CHECK(e.effect == Approx(2.0));
  CHECK(e.p == Approx(0.5));
  // Four arrangements can reject nothing at 5 %: no limit either way.
  CHECK(std::isinf(e.low));
  CHECK(std::isinf(e.high));
}

TEST_CASE("Strata with one kind only are left out and counted", "[stats]") {
  const Eigen::VectorXd y = (Eigen::VectorXd(6) << 1, 2, 3, 4, 100, 200).finished();
  const auto e = stratified_effect(y, {true, false, true, false, true, true},
                                   {{0, 0, 0, 0, 1, 1}, 2}, 0.95, {});
  CHECK(e.strata == 1);
  CHECK(e.left_out == 2);
  CHECK(e.marked == 2);
  CHECK(e.effect == Approx(-1.0));  // (1 + 3) / 2 - (2 + 4) / 2
  const auto none =
      stratified_effect(y, std::vector<bool>(6, true), {{0, 0, 0, 0, 1, 1}, 2}, 0.95, {});
  CHECK(none.strata == 0);
  CHECK(std::isnan(none.effect));
  CHECK(std::isnan(none.p));
}

TEST_CASE("A constant outcome has no effect and p one", "[stats]") {
  const auto e =
      stratified_effect(Eigen::VectorXd::Constant(9, 3.3), first_four, one_stratum, 0.95, {});
  CHECK(e.effect == Approx(0.0).margin(1e-12));
  CHECK(e.p == 1.0);
}
