// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/permutation.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

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

TEST_CASE("Whole runs are permuted: SciPy's null distribution of the runs' means", "[stats]") {
  // tests/reference/relate_stats.py, SciPy 1.10.1 permutation_test on the means of eight runs of
  // three; two of the seventy arrangements are as far apart.
  const Eigen::VectorXd y =
      (Eigen::VectorXd(24) << 5.1, 6.3, 7.2, 6.8, 4.9, 5.6, 5.0, 6.1, 5.3, 6.6, 7.4, 7.0, 5.5, 4.7,
       5.2, 6.9, 6.2, 7.1, 5.8, 5.4, 6.0, 6.4, 7.3, 6.7)
          .finished();
  constexpr std::array<bool, 8> kinds{true, false, false, true, false, true, false, true};
  std::vector<bool> marked;
  Groups runs{{}, 8};
  for (int i = 0; i < 24; ++i) {
    marked.push_back(kinds[static_cast<std::size_t>(i / 3)]);
    runs.of_row.push_back(i / 3);
  }
  const Groups stratum{std::vector<int>(24, 0), 1};
  const auto e = stratified_effect(y, marked, stratum, runs, 0.95, {});
  CHECK(e.exact);
  CHECK(e.permutations == 70);
  CHECK(e.effect == Approx(1.158333333333).epsilon(1e-11));
  CHECK(e.p == Approx(0.028571428571).epsilon(1e-10));
  CHECK(e.marked == 12);
  CHECK(e.marked_pieces == 4);
  CHECK(e.other_pieces == 4);
  marked[1] = false;
  CHECK_THROWS(stratified_effect(y, marked, stratum, runs, 0.95, {}));
}

TEST_CASE("Runs of unequal length against every arrangement by hand", "[stats]") {
  // Five runs of 1, 2, 3, 1 and 2 pitches, the first and the fourth cued. Means of either kind over
  // all ten choices of two runs, each with its own count of pitches.
  const std::vector<std::vector<double>> runs{
      {7.5}, {5.0, 6.1}, {4.4, 5.2, 6.3}, {8.1}, {6.0, 5.5}};
  std::vector<double> y;
  std::vector<bool> marked;
  Groups pieces{{}, 5};
  for (std::size_t run = 0; run < runs.size(); ++run)
    for (const double value : runs[run]) {
      y.push_back(value);
      marked.push_back(run == 0 || run == 3);
      pieces.of_row.push_back(static_cast<int>(run));
    }
  const auto difference = [&](std::size_t first, std::size_t second) {
    double with = 0.0, without = 0.0;
    double with_count = 0.0, without_count = 0.0;
    for (std::size_t run = 0; run < runs.size(); ++run)
      for (const double value : runs[run]) {
        const bool cued = run == first || run == second;
        (cued ? with : without) += value;
        (cued ? with_count : without_count) += 1.0;
      }
    return with / with_count - without / without_count;
  };
  const double seen = difference(0, 3);
  int as_large = 0;
  for (std::size_t first = 0; first < 5; ++first)
    for (std::size_t second = first + 1; second < 5; ++second)
      as_large += std::abs(difference(first, second)) >= std::abs(seen) - 1e-12 ? 1 : 0;
  const auto e = stratified_effect(Eigen::Map<const Eigen::VectorXd>(y.data(), 9), marked,
                                   {std::vector<int>(9, 0), 1}, pieces, 0.9, {});
  CHECK(e.permutations == 10);
  CHECK(e.effect == Approx(seen).epsilon(1e-12));
  CHECK(e.p == Approx(as_large / 10.0).epsilon(1e-12));
}

TEST_CASE("A constant outcome has no effect and p one", "[stats]") {
  const auto e =
      stratified_effect(Eigen::VectorXd::Constant(9, 3.3), first_four, one_stratum, 0.95, {});
  CHECK(e.effect == Approx(0.0).margin(1e-12));
  CHECK(e.p == 1.0);
}
