// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/stats/estimate.h"

namespace moundwork::stats {

/// A slope beside what it would be had x been measured without error.
struct Attenuation {
  double reliability = std::numeric_limits<double>::quiet_NaN();  ///< (s_x^2 - u^2) / s_x^2
  Estimate plain;                                                 ///< ordinary least squares
  /// plain / reliability; NaN when the error is as large as the spread of x.
  Estimate corrected;
};

/// Slope of y on x for known error variance of x (Fuller 1987, Measurement Error Models, 1.2):
/// beta = m_xy / (m_xx - u^2), variance (m_xx s_vv + beta^2 u^4) / ((m_xx - u^2)^2 df_x).
/// `x`, `y` already about their mean (or group means); `df_x` what that left of the rows (n - 1, or
/// N - k); `mean_square_u` the mean of u(x)^2, in which only the part that changes from row to row
/// belongs. An error common to all rows does not weaken a slope.
[[nodiscard]] Attenuation errors_in_x(const Eigen::VectorXd& x_centred,
                                      const Eigen::VectorXd& y_centred, double df_x,
                                      double mean_square_u, double level);

}  // namespace moundwork::stats
