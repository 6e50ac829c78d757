// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/bootstrap.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "core/stats/reference_data.h"
#include "core/stats/relation_bootstrap.h"

using namespace moundwork::stats;

namespace {

const Eigen::VectorXd sample =
    (Eigen::VectorXd(10) << 4.2, 5.1, 3.8, 6.0, 4.9, 5.5, 4.4, 7.2, 5.0, 4.7).finished();

// Mean of the drawn values: each value its own cluster.
std::vector<BootstrapInterval> bootstrap_mean(const ResampleSettings& settings) {
  Eigen::MatrixXd sums(10, 2);
  sums << Eigen::VectorXd::Ones(10), sample;
  return cluster_bootstrap(
      sums,
      [](const Eigen::Ref<const Eigen::RowVectorXd>& totals,
         Eigen::Ref<Eigen::RowVectorXd> statistics) { statistics[0] = totals[1] / totals[0]; },
      1, 0.95, settings);
}

struct PhData {
  Eigen::MatrixXd paco2{47, 1};
  Eigen::VectorXd ph{47};
  Groups subjects;
};

PhData ph_data() {
  PhData data;
  for (std::size_t i = 0; i < reference::bland_altman.size(); ++i) {
    data.ph[static_cast<Eigen::Index>(i)] = reference::bland_altman[i].ph;
    data.paco2(static_cast<Eigen::Index>(i), 0) = reference::bland_altman[i].paco2;
    data.subjects.of_row.push_back(reference::bland_altman[i].subject - 1);
  }
  data.subjects.count = 8;
  return data;
}

}  // namespace

TEST_CASE("BCa interval of a mean agrees with SciPy over seeds", "[stats]") {
  // Means over 20 SciPy seeds (4.6142, 5.8037), tolerance 0.05.
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const auto interval = bootstrap_mean({.resamples = 9999, .seed = seed}).front();
    CHECK(interval.low == Approx(4.6142).margin(0.05));
    CHECK(interval.high == Approx(5.8037).margin(0.05));
    CHECK(interval.usable == 9999);
  }
}

TEST_CASE("Whole subjects resampled: SciPy's BCa on the pH data", "[stats]") {
  // tests/reference/relate_stats.py, means over 20 SciPy seeds; the tolerances are four of the
  // standard deviations that it prints.
  const auto data = ph_data();
  const auto relation =
      bootstrap_relations(data.paco2, data.ph, data.subjects, 0.95, {.resamples = 9999}).front();
  CHECK(relation.within_r.low == Approx(-0.76801).margin(0.012));
  CHECK(relation.within_r.high == Approx(-0.07098).margin(0.020));
  CHECK(relation.within_slope.low == Approx(-0.20300).margin(0.0021));
  CHECK(relation.within_slope.high == Approx(-0.01695).margin(0.0037));
  CHECK(relation.between_r.low == Approx(-0.90639).margin(0.011));
  CHECK(relation.between_r.high == Approx(0.92897).margin(0.024));
}

TEST_CASE("The interval depends on the seed and not on the number of threads", "[stats]") {
  const auto one = bootstrap_mean({.resamples = 2500, .seed = 7, .threads = 1}).front();
  const auto three = bootstrap_mean({.resamples = 2500, .seed = 7, .threads = 3}).front();
  const auto other = bootstrap_mean({.resamples = 2500, .seed = 8, .threads = 3}).front();
  CHECK(one.low == three.low);
  CHECK(one.high == three.high);
  CHECK((one.low != other.low || one.high != other.high));
}

TEST_CASE("Progress runs up to one", "[stats]") {
  double last = 0.0;
  bool ascending = true;
  (void)bootstrap_mean({.resamples = 1000, .seed = 1, .threads = 2, .progress = [&](double share) {
                          ascending = ascending && share >= last;
                          last = share;
                          return true;
                        }});
  CHECK(ascending);
  CHECK(last == 1.0);
}

TEST_CASE("A bootstrap that is told to stop draws no more and knows no interval", "[stats]") {
  int told = 0;
  const auto interval = bootstrap_mean({.resamples = 100000,
                                        .seed = 1,
                                        .threads = 1,
                                        .progress = [&](double) { return ++told < 2; }})
                            .front();
  CHECK(told == 2);
  CHECK(std::isnan(interval.low));
  CHECK(std::isnan(interval.high));
}

TEST_CASE("A missing value costs its own row and quantity only", "[stats]") {
  const auto data = ph_data();
  Eigen::MatrixXd both(48, 2);
  both.topRows(47) << data.paco2, data.paco2;
  both.row(47) << std::numeric_limits<double>::quiet_NaN(), 9.0;
  Eigen::VectorXd y(48);
  y << data.ph, 9.0;
  auto groups = data.subjects;
  groups.of_row.push_back(0);
  const auto relations = bootstrap_relations(both, y, groups, 0.95, {.resamples = 1000});
  const auto plain =
      bootstrap_relations(data.paco2, data.ph, data.subjects, 0.95, {.resamples = 1000});
  CHECK(relations[0].within_r.low == Approx(plain[0].within_r.low).epsilon(1e-9));
  CHECK(relations[0].between_r.high == Approx(plain[0].between_r.high).epsilon(1e-9));
  CHECK(relations[1].within_r.low != Approx(plain[0].within_r.low).epsilon(1e-9));
}

TEST_CASE("A quantity that is constant within or between groups gets no such interval", "[stats]") {
  const auto data = ph_data();
  Eigen::MatrixXd x(47, 2);
  for (Eigen::Index row = 0; row < 47; ++row) {
    x(row, 0) = 1.7 + 0.1 * data.subjects.of_row[static_cast<std::size_t>(row)];
    x(row, 1) = 3.3;
  }
  const auto relations = bootstrap_relations(x, data.ph, data.subjects, 0.95, {.resamples = 500});
  CHECK(std::isnan(relations[0].within_r.low));
  CHECK(std::isfinite(relations[0].between_r.low));
  CHECK(std::isnan(relations[1].within_r.low));
  CHECK(std::isnan(relations[1].between_r.low));
}

TEST_CASE("Too many undefined replicates leave no interval", "[stats]") {
  Eigen::VectorXd replicates = Eigen::VectorXd::LinSpaced(100, 0.0, 1.0);
  const Eigen::VectorXd leave_one_out = Eigen::VectorXd::LinSpaced(10, 0.4, 0.6);
  replicates.head(5).setConstant(std::numeric_limits<double>::quiet_NaN());
  CHECK(std::isfinite(bca_interval(0.5, replicates, leave_one_out, 0.95).low));
  replicates[5] = std::numeric_limits<double>::quiet_NaN();
  const auto refused = bca_interval(0.5, replicates, leave_one_out, 0.95);
  CHECK(std::isnan(refused.low));
  CHECK(refused.usable == 94);
}
