// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <limits>

#include "core/stats/groups.h"

namespace moundwork::stats {

/// A correlation coefficient with its two-sided test against zero and confidence interval. NaN
/// where undefined: a constant column has no r, fewer than four effective pairs no interval.
struct Correlation {
  double r = std::numeric_limits<double>::quiet_NaN();
  double df = std::numeric_limits<double>::quiet_NaN();
  double p = std::numeric_limits<double>::quiet_NaN();
  double low = std::numeric_limits<double>::quiet_NaN();
  double high = std::numeric_limits<double>::quiet_NaN();
};

// All of these take finite values only, one pair a row, and a confidence level such as 0.95.

/// Interval tanh(atanh r -+ z / sqrt(n - 3)) (Fisher 1921).
[[nodiscard]] Correlation pearson(const Eigen::VectorXd& x, const Eigen::VectorXd& y, double level);

/// Pearson on mean ranks; p from Student's t; interval with standard error
/// sqrt((1 + rho^2 / 2) / (n - 3)) of atanh rho (Bonett and Wright 2000, Psychometrika 65:23).
[[nodiscard]] Correlation spearman(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                   double level);

/// Correlation within groups, one slope common to all: both centred on the group's mean,
/// df = N - k - 1, Fisher interval with standard error 1 / sqrt(df - 1) (Bland and Altman 1995,
/// BMJ 310:446; Bakdash and Marusich 2017, Front Psychol 8:456). With one group it is Pearson's r.
[[nodiscard]] Correlation repeated_measures(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                            const Groups& groups, double level);

/// Pearson's r after a straight line on `covariate` is taken out of both; df = n - 3, Fisher
/// interval with standard error 1 / sqrt(n - 4) (Fisher 1924). Pearson's r itself where the
/// covariate does not vary.
[[nodiscard]] Correlation partial(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                  const Eigen::VectorXd& covariate, double level);

/// The same with several covariates (rows x covariates) taken out: df = n - 2 - covariates, those
/// that are copies of others not counted.
[[nodiscard]] Correlation partial_given(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                        const Eigen::MatrixXd& covariates, double level);

/// Correlation of two columns from which something was taken out already, with what that left of
/// the degrees of freedom; Fisher interval with standard error 1 / sqrt(df - 1). `x` and `y` are as
/// they were, to tell rounding from a value.
[[nodiscard]] Correlation residual_correlation(const Eigen::VectorXd& x_left,
                                               const Eigen::VectorXd& y_left,
                                               const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                               double df, double level);

/// The same r and degrees of freedom with an interval of another level.
[[nodiscard]] Correlation at_level(const Correlation& correlation, double level);

}  // namespace moundwork::stats
