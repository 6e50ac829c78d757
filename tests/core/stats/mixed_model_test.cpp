// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/mixed_model.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/stats/reference_data.h"

using namespace moundwork::stats;

namespace {

struct Data {
  Eigen::VectorXd x;
  Eigen::VectorXd y;
  Groups groups;

  void add(int group, double x_value, double y_value) {
    const auto n = x.size();
    x.conservativeResize(n + 1);
    y.conservativeResize(n + 1);
    x[n] = x_value;
    y[n] = y_value;
    groups.of_row.push_back(group);
    groups.count = std::max(groups.count, group + 1);
  }
  [[nodiscard]] Eigen::MatrixXd with_intercept() const {
    Eigen::MatrixXd X(x.size(), 2);
    X << Eigen::VectorXd::Ones(x.size()), x;
    return X;
  }
};

Data sleep_data() {
  Data data;
  int group = 0;
  for (const auto& subject : reference::sleepstudy) {
    for (int day = 0; day < 10; ++day)
      data.add(group, day, subject.reaction[static_cast<std::size_t>(day)]);
    ++group;
  }
  return data;
}

Data ph_data() {
  Data data;
  for (const auto& row : reference::bland_altman) data.add(row.subject - 1, row.paco2, row.ph);
  return data;
}

// Unbalanced, with groups of one row, as in tests/reference/relate_mixed.R.
Data uneven_data() {
  Data data;
  constexpr std::array<int, 13> group{0, 0, 0, 1, 1, 2, 3, 3, 3, 3, 4, 4, 5};
  constexpr std::array<double, 13> x{1.0, 2.0, 4.0, 2.5, 3.5, 5.0, 0.5,
                                     1.5, 2.5, 6.0, 3.0, 4.5, 2.0};
  constexpr std::array<double, 13> y{38.1, 38.9, 39.6, 41.2, 41.0, 42.3, 36.0,
                                     36.9, 37.1, 38.8, 42.9, 43.1, 40.2};
  for (std::size_t i = 0; i < 13; ++i) data.add(group[i], x[i], y[i]);
  return data;
}

double se(const RandomIntercept& fit, Eigen::Index i) { return std::sqrt(fit.covariance(i, i)); }

}  // namespace

TEST_CASE("sleepstudy: lme4's restricted maximum likelihood", "[stats]") {
  const auto data = sleep_data();
  const auto fit = fit_random_intercept(data.y, data.with_intercept(), data.groups);
  REQUIRE(fit);
  // lme4 1.1-31.
  CHECK(fit->coefficients[0] == Approx(251.405105).epsilon(1e-8));
  CHECK(se(*fit, 0) == Approx(9.746716).epsilon(1e-6));
  CHECK(fit->coefficients[1] == Approx(10.467286).epsilon(1e-7));
  CHECK(se(*fit, 1) == Approx(0.804221).epsilon(1e-6));
  CHECK(fit->sd_group * fit->sd_group == Approx(1378.178508).epsilon(1e-7));
  CHECK(fit->sd_residual * fit->sd_residual == Approx(960.456579).epsilon(1e-8));
  CHECK(fit->criterion == Approx(1786.465085).epsilon(1e-9));
  CHECK(fit->group_effects[0] == Approx(40.783710).epsilon(1e-6));
  CHECK(fit->group_effects[1] == Approx(-77.849554).epsilon(1e-6));
  CHECK(fit->group_effects[9] == Approx(72.182686).epsilon(1e-6));
  CHECK(fit->group_effects[17] == Approx(18.115747).epsilon(1e-6));
  // The balanced closed form of the same section holds to more digits: (MS - s2e) / k.
  CHECK(fit->sd_group * fit->sd_group ==
        Approx((14742.241663 - fit->sd_residual * fit->sd_residual) / 10.0).epsilon(1e-9));

  const Eigen::MatrixXd ones = Eigen::MatrixXd::Ones(180, 1);
  const auto null = fit_random_intercept(data.y, ones, data.groups);
  REQUIRE(null);
  CHECK(null->coefficients[0] == Approx(298.507892).epsilon(1e-8));
  CHECK(null->sd_group * null->sd_group == Approx(1278.337756).epsilon(1e-6));
  CHECK(null->sd_residual * null->sd_residual == Approx(1958.865177).epsilon(1e-8));
}

TEST_CASE("Orthodont: lme4's restricted maximum likelihood", "[stats]") {
  Data data;
  for (std::size_t child = 0; child < reference::orthodont.size(); ++child)
    for (std::size_t visit = 0; visit < 4; ++visit)
      data.add(static_cast<int>(child), 8.0 + 2.0 * static_cast<double>(visit),
               reference::orthodont[child][visit]);
  const auto fit = fit_random_intercept(data.y, data.with_intercept(), data.groups);
  REQUIRE(fit);
  // lme4 1.1-31.
  CHECK(fit->coefficients[0] == Approx(16.761111).epsilon(1e-7));
  CHECK(se(*fit, 0) == Approx(0.802395).epsilon(1e-6));
  CHECK(fit->coefficients[1] == Approx(0.660185).epsilon(1e-6));
  CHECK(se(*fit, 1) == Approx(0.061606).epsilon(1e-5));
  CHECK(fit->sd_group * fit->sd_group == Approx(4.472056).epsilon(1e-6));
  CHECK(fit->sd_residual * fit->sd_residual == Approx(2.049456).epsilon(1e-6));
  CHECK(fit->criterion == Approx(447.002516).epsilon(1e-8));
}

TEST_CASE("Within and between slopes of pH on PaCO2", "[stats]") {
  const auto data = ph_data();
  // lme4 1.1-31 with bobyqa.
  const auto plain = fit_random_intercept(data.y, data.with_intercept(), data.groups);
  REQUIRE(plain);
  CHECK(plain->coefficients[0] == Approx(7.631356).epsilon(1e-6));
  CHECK(se(*plain, 0) == Approx(0.184785).epsilon(1e-5));
  CHECK(plain->coefficients[1] == Approx(-0.103271).epsilon(1e-5));
  CHECK(se(*plain, 1) == Approx(0.029354).epsilon(1e-4));
  CHECK(plain->sd_group * plain->sd_group == Approx(0.0970993).epsilon(1e-5));
  CHECK(plain->sd_residual * plain->sd_residual == Approx(0.00878541).epsilon(1e-6));
  CHECK(plain->criterion == Approx(-50.384512).epsilon(1e-8));

  const auto split = fit_within_between(data.x, data.y, data.groups, 0.95);
  REQUIRE(split);
  CHECK(split->within.value == Approx(-0.108323047).epsilon(1e-8));  // the fixed-effect slope, 6.2
  CHECK(split->within.u == Approx(0.029902).epsilon(2e-5));
  CHECK(split->within.df == 38.0);
  CHECK(split->between.value == Approx(0.031731).epsilon(2e-5));
  CHECK(split->between.u == Approx(0.157078).epsilon(1e-5));
  CHECK(split->between.df == 6.0);
  CHECK(split->model.sd_group * split->model.sd_group == Approx(0.1003658).epsilon(1e-6));
  CHECK(split->model.sd_residual * split->model.sd_residual == Approx(0.00878770).epsilon(1e-6));
  CHECK(split->model.criterion == Approx(-49.319527).epsilon(1e-8));

  // Mundlak's own form: the coefficient of the mean beside x is between minus within.
  Eigen::MatrixXd X(47, 3);
  X << Eigen::VectorXd::Ones(47), data.x,
      spread_to_rows(group_means(data.x, data.groups), data.groups);
  const auto mundlak = fit_random_intercept(data.y, X, data.groups);
  REQUIRE(mundlak);
  CHECK(mundlak->coefficients[2] == Approx(0.140054).epsilon(1e-5));
  CHECK(se(*mundlak, 2) == Approx(0.159899).epsilon(1e-5));
}

TEST_CASE("Uneven groups and a covariate of the group", "[stats]") {
  const auto data = uneven_data();
  // tests/reference/relate_mixed.R, lme4 1.1-31.
  const auto fit = fit_within_between(data.x, data.y, data.groups, 0.95);
  REQUIRE(fit);
  CHECK(fit->within.value == Approx(0.450754214729).epsilon(1e-10));
  CHECK(fit->within.u == Approx(0.0593037291).epsilon(1e-6));
  CHECK(fit->between.value == Approx(1.349916527).epsilon(1e-6));
  CHECK(fit->between.u == Approx(0.7241103193).epsilon(1e-6));
  CHECK(fit->model.sd_group == Approx(1.7629458).epsilon(1e-6));
  CHECK(fit->model.sd_residual == Approx(0.2873580).epsilon(1e-6));
  CHECK(fit->model.criterion == Approx(28.6276060163).epsilon(1e-9));

  const Eigen::VectorXd mass = (Eigen::VectorXd(6) << 80, 95, 88, 72, 101, 90).finished();
  const auto adjusted = fit_within_between(data.x, data.y, data.groups, 0.95, mass);
  REQUIRE(adjusted);
  CHECK(adjusted->within.u == Approx(0.0591899160).epsilon(1e-5));
  CHECK(adjusted->between.value == Approx(0.8326907668).epsilon(1e-5));
  CHECK(adjusted->between.u == Approx(0.1996821643).epsilon(1e-5));
  CHECK(adjusted->model.sd_group == Approx(0.3699983).epsilon(1e-5));
  CHECK(adjusted->model.criterion == Approx(22.2322118547).epsilon(1e-9));
}

TEST_CASE("Groups closer than chance put the spread between them at zero", "[stats]") {
  Data data;
  constexpr std::array<double, 12> y{1.0, 2.1, 2.9, 1.2, 1.8, 3.1, 0.9, 2.2, 3.0, 1.1, 1.9, 3.0};
  for (std::size_t i = 0; i < 12; ++i)
    data.add(static_cast<int>(i / 3), static_cast<double>(i % 3 + 1), y[i]);
  const auto fit = fit_random_intercept(data.y, data.with_intercept(), data.groups);
  REQUIRE(fit);
  // relate_mixed.R: lme4 and, since nothing is left between groups, plain regression.
  CHECK(fit->at_boundary);
  CHECK(fit->sd_group == 0.0);
  CHECK(fit->sd_residual == Approx(0.131021626714).epsilon(1e-10));
  CHECK(fit->coefficients[1] == Approx(0.975).epsilon(1e-12));
  CHECK(se(*fit, 1) == Approx(0.0463231403656).epsilon(1e-10));
  CHECK(fit->criterion == Approx(-7.70473874424).epsilon(1e-9));
  CHECK(fit->group_effects.isZero());
}

TEST_CASE("The fit does not depend on the units of either column", "[stats]") {
  const auto data = sleep_data();
  const auto plain = fit_within_between(data.x, data.y, data.groups, 0.95);
  const Eigen::VectorXd x = (data.x.array() * 1e6 + 5e7).matrix();
  const Eigen::VectorXd y = (data.y.array() * 1e-4 + 40.0).matrix();
  const auto scaled = fit_within_between(x, y, data.groups, 0.95);
  REQUIRE(plain);
  REQUIRE(scaled);
  CHECK(scaled->within.value == Approx(plain->within.value * 1e-10).epsilon(1e-8));
  CHECK(scaled->model.sd_group == Approx(plain->model.sd_group * 1e-4).epsilon(1e-7));
  // Every subject has the same days, so there is no slope between subjects.
  CHECK(std::isnan(plain->between.value));
}

TEST_CASE("The mixed model refuses what it cannot tell apart, in words", "[stats]") {
  Data one;
  for (int i = 0; i < 5; ++i) one.add(0, i, i * i);
  CHECK_FALSE(fit_within_between(one.x, one.y, one.groups, 0.95));

  Data single;
  for (int i = 0; i < 5; ++i) single.add(i, i, i * i);
  const auto refused = fit_within_between(single.x, single.y, single.groups, 0.95);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("one row") != std::string::npos);

  Data constant;
  for (int i = 0; i < 6; ++i) constant.add(i / 2, 3.0, i);
  CHECK_FALSE(fit_within_between(constant.x, constant.y, constant.groups, 0.95));

  Data exact;
  for (int i = 0; i < 8; ++i) exact.add(i / 4, i % 4, 2.0 * (i % 4));
  CHECK_FALSE(fit_within_between(exact.x, exact.y, exact.groups, 0.95));

  Data flat;
  for (int i = 0; i < 8; ++i) flat.add(i / 4, i * i, 40.2);
  CHECK_FALSE(fit_within_between(flat.x, flat.y, flat.groups, 0.95));
}

TEST_CASE("Two groups have no slope between them, and the rest of the fit stands", "[stats]") {
  Data two;
  constexpr std::array<double, 8> x{1, 2, 3, 4, 2, 3, 4, 5};
  constexpr std::array<double, 8> y{1.1, 1.9, 3.2, 3.8, 5.0, 6.3, 6.9, 8.0};
  for (std::size_t i = 0; i < 8; ++i) two.add(static_cast<int>(i / 4), x[i], y[i]);
  const auto fit = fit_within_between(two.x, two.y, two.groups, 0.95);
  REQUIRE(fit);
  CHECK(std::isnan(fit->between.value));
  // By hand: Sxy / Sxx within groups = (4.7 + 4.8) / 10.
  CHECK(fit->within.value == Approx(0.95));
  // Balanced closed form: the group means of y are 2.5 and 6.55.
  const double residual = fit->model.sd_residual * fit->model.sd_residual;
  CHECK(fit->model.sd_group * fit->model.sd_group ==
        Approx((4.0 * 2.0 * 2.025 * 2.025 - residual) / 4.0).epsilon(1e-9));
  CHECK_FALSE(fit_within_between(two.x, two.y, two.groups, 0.95, Eigen::Vector2d(80, 90)));
}
