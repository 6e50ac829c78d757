// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/reliability.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/stats/reference_data.h"

using namespace moundwork::stats;

namespace {
Eigen::MatrixXd shrout_fleiss() {
  Eigen::MatrixXd table(6, 4);
  for (Eigen::Index i = 0; i < 6; ++i)
    for (Eigen::Index j = 0; j < 4; ++j)
      table(i, j) =
          reference::shrout_fleiss[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
  return table;
}

void check_icc(const Icc& icc, double value, double low, double high) {
  CHECK(icc.value == Approx(value).margin(1e-9));
  CHECK(icc.low == Approx(low).margin(1e-7));
  CHECK(icc.high == Approx(high).margin(1e-6));
}
}  // namespace

TEST_CASE("Shrout and Fleiss's table: six forms with their intervals", "[stats]") {
  const auto t = intraclass_correlations(shrout_fleiss(), 0.95);
  // R package psych 2.2.9; the six values round to the published ones.
  CHECK(t.between_ms == Approx(11.241666667).epsilon(1e-9));
  CHECK(t.within_ms == Approx(6.263888889).epsilon(1e-9));
  CHECK(t.session_ms == Approx(32.486111111).epsilon(1e-9));
  CHECK(t.residual_ms == Approx(1.019444444).epsilon(1e-9));
  check_icc(t.one_one, .165741768, -.1329323, .722560);
  check_icc(t.two_one, .289763780, .0187865, .761084);
  check_icc(t.three_one, .714840715, .3424648, .945858);
  check_icc(t.one_k, .442797134, -.8844422, .912415);
  check_icc(t.two_k, .620050548, .0711368, .927232);
  check_icc(t.three_k, .909315542, .6756747, .985892);
}

TEST_CASE("Test and retest: typical error and minimal detectable change", "[stats]") {
  const Eigen::VectorXd first =
      (Eigen::VectorXd(8) << 100, 105, 98, 110, 102, 95, 108, 101).finished();
  const Eigen::VectorXd second =
      (Eigen::VectorXd(8) << 102, 104, 101, 113, 101, 97, 107, 105).finished();
  const auto r = test_retest(first, second, 0.95);
  // Computed apart with NumPy.
  CHECK(r.athletes == 8);
  CHECK(r.mean_change == Approx(1.375).epsilon(1e-12));
  CHECK(r.sd_change == Approx(2.065879266).epsilon(1e-9));
  CHECK(r.typical_error == Approx(1.460797238).epsilon(1e-9));
  CHECK(r.typical_error_percent == Approx(1.417389679).epsilon(1e-9));
  CHECK(r.minimal_detectable_change == Approx(4.049048958).epsilon(1e-9));
  CHECK(r.agreement_low == Approx(-2.674048958).epsilon(1e-9));
  CHECK(r.agreement_high == Approx(5.424048958).epsilon(1e-9));
  CHECK(r.icc.three_one.value == Approx(.911970534).epsilon(1e-8));
  CHECK(r.icc.two_one.value == Approx(.887137227).epsilon(1e-8));
  CHECK(r.standard_error == Approx(1.426901605).epsilon(1e-9));
  CHECK(r.typical_error == Approx(std::sqrt(r.icc.residual_ms)).epsilon(1e-12));
}

TEST_CASE("Repeated pitches, equal and unequal numbers", "[stats]") {
  // Equal numbers are Shrout and Fleiss's (1,1) with the judges as pitches.
  const Eigen::MatrixXd table = shrout_fleiss();
  Eigen::VectorXd y(24);
  Groups athletes;
  athletes.count = 6;
  for (int i = 0; i < 24; ++i) {
    y[i] = table(i / 4, i % 4);
    athletes.of_row.push_back(i / 4);
  }
  const auto equal = repeated_pitch_icc(y, athletes, 0.95);
  check_icc(equal.single, .165741768, -.1329323, .722560);
  CHECK(equal.typical_error == Approx(std::sqrt(6.263888889)).epsilon(1e-9));
  CHECK(equal.pitches == 4.0);

  // Unequal: mean squares by R's aov (tests/reference/relate_mixed.R); n0 = (13 - 35/13) / 5 by
  // hand, so ICC = (B - W) / (B + (n0 - 1) W).
  const Eigen::VectorXd uneven = (Eigen::VectorXd(13) << 38.1, 38.9, 39.6, 41.2, 41.0, 42.3, 36.0,
                                  36.9, 37.1, 38.8, 42.9, 43.1, 40.2)
                                     .finished();
  const Groups groups{{0, 0, 0, 1, 1, 2, 3, 3, 3, 3, 4, 4, 5}, 6};
  const auto icc = repeated_pitch_icc(uneven, groups, 0.95);
  const double n0 = (13.0 - 35.0 / 13.0) / 5.0;
  CHECK(icc.pitches == Approx(n0).epsilon(1e-12));
  CHECK(icc.typical_error == Approx(std::sqrt(0.752380952381)).epsilon(1e-10));
  CHECK(icc.single.value ==
        Approx((11.958666666667 - 0.752380952381) / (11.958666666667 + (n0 - 1.0) * 0.752380952381))
            .epsilon(1e-10));
}

TEST_CASE("Tables without spread have no reliability", "[stats]") {
  const auto t = intraclass_correlations(Eigen::MatrixXd::Constant(3, 2, 4.0), 0.95);
  CHECK(std::isnan(t.one_one.value));
  CHECK(std::isnan(t.two_one.value));
  CHECK(std::isnan(t.three_k.value));
  const Groups one{{0, 0, 0}, 1};
  const auto single = repeated_pitch_icc((Eigen::VectorXd(3) << 1, 2, 3).finished(), one, 0.95);
  CHECK(single.typical_error == Approx(1.0));
  CHECK(std::isnan(single.single.value));
}
