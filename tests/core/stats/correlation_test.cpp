// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/correlation.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/stats/reference_data.h"

using namespace moundwork::stats;

namespace {

// Ten pairs with a tie in each column.
const Eigen::VectorXd speed =
    (Eigen::VectorXd(10) << 36.2, 37.1, 35.4, 38.0, 39.5, 36.9, 40.1, 38.0, 34.8, 37.7).finished();
const Eigen::VectorXd force =
    (Eigen::VectorXd(10) << .81, .84, .79, .97, 1.02, .88, .99, .93, .81, .86).finished();

struct PhData {
  Eigen::VectorXd ph{47};
  Eigen::VectorXd paco2{47};
  Groups subjects;
};

PhData ph_data() {
  PhData data;
  for (std::size_t i = 0; i < reference::bland_altman.size(); ++i) {
    data.ph[static_cast<Eigen::Index>(i)] = reference::bland_altman[i].ph;
    data.paco2[static_cast<Eigen::Index>(i)] = reference::bland_altman[i].paco2;
    data.subjects.of_row.push_back(reference::bland_altman[i].subject - 1);
  }
  data.subjects.count = 8;
  return data;
}

}  // namespace

TEST_CASE("Pearson's r, its p and its Fisher interval", "[stats]") {
  const auto c = pearson(speed, force, 0.95);  // SciPy 1.10
  CHECK(c.r == Approx(0.912802662753).epsilon(1e-11));
  CHECK(c.df == 8.0);
  CHECK(c.p == Approx(0.000227408877).epsilon(1e-8));
  CHECK(c.low == Approx(0.665865785049).epsilon(1e-11));
  CHECK(c.high == Approx(0.979491270321).epsilon(1e-11));
}

TEST_CASE("Spearman's rho shares the ranks of ties", "[stats]") {
  const auto c = spearman(speed, force, 0.95);  // SciPy; Bonett and Wright
  CHECK(c.r == Approx(0.926829268293).epsilon(1e-11));
  CHECK(c.p == Approx(0.000114729407).epsilon(1e-8));
  CHECK(c.low == Approx(0.634973915).epsilon(1e-8));
  CHECK(c.high == Approx(0.987164609).epsilon(1e-8));
}

TEST_CASE("Repeated-measures correlation of pH and PaCO2", "[stats]") {
  const auto data = ph_data();  // Bland and Altman 1995; NumPy 1.24 and R 4.2
  const auto c = repeated_measures(data.paco2, data.ph, data.subjects, 0.95);
  CHECK(c.r == Approx(-0.506769742233).epsilon(1e-11));
  CHECK(c.df == 38.0);
  CHECK(c.p == Approx(0.000847108109).epsilon(1e-8));
  CHECK(c.low == Approx(-0.706714636).epsilon(1e-8));
  CHECK(c.high == Approx(-0.231863120).epsilon(1e-8));

  // The same source's contrast: pooling the subjects hides it, their means say nothing.
  CHECK(pearson(data.paco2, data.ph, 0.95).r == Approx(-0.065217744).epsilon(1e-7));
  CHECK(pearson(data.paco2, data.ph, 0.95).p == Approx(0.663).margin(5e-4));
  const auto means =
      pearson(group_means(data.paco2, data.subjects), group_means(data.ph, data.subjects), 0.95);
  CHECK(means.r == Approx(0.081773135).epsilon(1e-7));
}

TEST_CASE("With one group the repeated-measures correlation is Pearson's", "[stats]") {
  Groups one{std::vector<int>(10, 0), 1};
  const auto inside = repeated_measures(speed, force, one, 0.95);
  const auto plain = pearson(speed, force, 0.95);
  CHECK(inside.r == Approx(plain.r).epsilon(1e-13));
  CHECK(inside.df == plain.df);
  CHECK(inside.low == Approx(plain.low).epsilon(1e-12));
}

TEST_CASE("A group of one row adds nothing to the repeated-measures correlation", "[stats]") {
  auto data = ph_data();
  const auto before = repeated_measures(data.paco2, data.ph, data.subjects, 0.95);
  data.ph.conservativeResize(48);
  data.paco2.conservativeResize(48);
  data.ph[47] = 5.0;
  data.paco2[47] = 20.0;
  data.subjects.of_row.push_back(8);
  data.subjects.count = 9;
  const auto after = repeated_measures(data.paco2, data.ph, data.subjects, 0.95);
  CHECK(after.r == Approx(before.r).epsilon(1e-12));
  CHECK(after.df == before.df);
}

TEST_CASE("Partial correlation takes a third column out", "[stats]") {
  // tests/reference/relate_stats.py, SciPy 1.10.1.
  const Eigen::VectorXd mass =
      (Eigen::VectorXd(10) << 80, 84, 79, 88, 92, 81, 95, 90, 78, 83).finished();
  const auto c = partial(speed, force, mass, 0.95);
  CHECK(c.r == Approx(0.270384495996).epsilon(1e-9));
  CHECK(c.df == 7.0);
  CHECK(c.p == Approx(0.481640759171).epsilon(1e-9));
  CHECK(c.low == Approx(-0.479914623376).epsilon(1e-9));
  CHECK(c.high == Approx(0.792244308895).epsilon(1e-9));
  // With several columns it is the same number by another road, a copy of one no more.
  Eigen::MatrixXd twice(10, 2);
  twice << mass, 2.0 * mass;
  CHECK(partial_given(speed, force, twice, 0.95).r == Approx(c.r).epsilon(1e-9));
  CHECK(partial_given(speed, force, twice, 0.95).df == 7.0);
  const auto constant = partial(speed, force, Eigen::VectorXd::Constant(10, 85.1), 0.95);
  CHECK(constant.r == Approx(pearson(speed, force, 0.95).r));
  CHECK(constant.df == 8.0);
}

TEST_CASE("Correlations that do not exist are NaN, not accidents of rounding", "[stats]") {
  const Eigen::VectorXd constant = Eigen::VectorXd::Constant(10, 0.1);
  CHECK(std::isnan(pearson(constant, speed, 0.95).r));
  CHECK(std::isnan(spearman(constant, speed, 0.95).r));
  // Constant within each group (a body height, say) though not between them.
  const Groups pairs{{0, 0, 1, 1, 2, 2, 3, 3, 4, 4}, 5};
  Eigen::VectorXd height(10);
  height << 1.81, 1.81, 1.93, 1.93, 1.77, 1.77, 1.88, 1.88, 1.9, 1.9;
  CHECK(std::isnan(repeated_measures(height, speed, pairs, 0.95).r));
  CHECK(std::isnan(pearson(speed.head(0), force.head(0), 0.95).r));
  CHECK(std::isnan(pearson(speed.head(1), force.head(1), 0.95).r));
  // Two points lie on a line whatever they are: r = +-1 with no test and no interval.
  const auto two = pearson(speed.head(2), force.head(2), 0.95);
  CHECK(std::isnan(two.p));
  CHECK(std::isnan(two.low));
  // Three have a test but no interval, for Fisher's error needs n - 3 > 0.
  const auto three = pearson(speed.head(3), force.head(3), 0.95);
  CHECK(std::isfinite(three.p));
  CHECK(std::isnan(three.low));
  const auto exact = pearson(speed, 2.0 * speed, 0.95);
  CHECK(exact.r == Approx(1.0));
  CHECK(exact.low <= exact.high);
  CHECK(exact.p < 1e-9);
}
