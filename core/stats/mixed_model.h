// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>

#include "core/base/result.h"
#include "core/stats/estimate.h"
#include "core/stats/groups.h"

namespace moundwork::stats {

/// y = X beta + b(group) + e, b ~ N(0, sd_group^2), e ~ N(0, sd_residual^2).
struct RandomIntercept {
  Eigen::VectorXd coefficients;  ///< beta
  Eigen::MatrixXd covariance;    ///< of beta, at the estimated variances
  double sd_group = 0.0;
  double sd_residual = 0.0;
  /// sd_group came out as exactly zero: the groups differ no more than their residuals make them.
  bool at_boundary = false;
  double criterion = 0.0;         ///< -2 log restricted likelihood, with its constant
  Eigen::VectorXd group_effects;  ///< predicted b (count)
};

/// Restricted maximum likelihood. With ratio = sd_group^2 / sd_residual^2 everything else has a
/// closed form (Harville 1977, JASA 72:320; Bates et al. 2015, J Stat Softw 67:1), and for an
/// intercept alone V is inverted by hand, so the search is for a root of the derivative of a
/// function of one variable: groups may be of any size, also one. X holds its own column of ones.
/// Fails when X's columns are dependent, when no group has two rows (the two variances cannot be
/// told apart), when there is one group only, or when y is fitted exactly.
[[nodiscard]] Result<RandomIntercept> fit_random_intercept(const Eigen::VectorXd& y,
                                                           const Eigen::MatrixXd& X,
                                                           const Groups& groups);

/// What a unit of x goes with, inside a group and from group to group.
struct WithinBetween {
  /// NaN where x does not vary at that level, or too few groups are left to tell.
  Estimate within;   ///< of x minus its group mean; df = N - k - 1
  Estimate between;  ///< of the group mean; df = k - 2, less one with a group covariate
  RandomIntercept model;
};

/// Random-intercept model of y on x's deviation from its group mean and on that mean (Mundlak 1978,
/// Econometrica 46:69, in its within-between form), with, if given, the group mean of a covariate
/// such as body mass beside it. Degrees of freedom by the inner-outer rule (Pinheiro and Bates
/// 2000, section 2.4.2).
[[nodiscard]] Result<WithinBetween> fit_within_between(
    const Eigen::VectorXd& x, const Eigen::VectorXd& y, const Groups& groups, double level,
    const std::optional<Eigen::VectorXd>& group_covariate = std::nullopt);

}  // namespace moundwork::stats
