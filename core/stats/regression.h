// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/base/result.h"

namespace moundwork::stats {

struct LinearFit {
  Eigen::VectorXd coefficients;
  Eigen::MatrixXd covariance;  ///< of the coefficients
  double residual_sd = 0.0;    ///< sqrt(SSE / df)
  double df = 0.0;             ///< rows - columns
  double r_squared = 0.0;      ///< about the mean of y
  Eigen::VectorXd residuals;
};

/// Ordinary least squares of y on the columns of X (which holds its own column of ones), by
/// pivoted Householder QR. Fails when the columns are linearly dependent or leave no df.
[[nodiscard]] Result<LinearFit> least_squares(const Eigen::MatrixXd& X, const Eigen::VectorXd& y);

}  // namespace moundwork::stats
