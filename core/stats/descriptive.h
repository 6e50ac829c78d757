// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

namespace moundwork::stats {

/// Square root of the sum of squares about the mean over n - 1; NaN below two values.
[[nodiscard]] double standard_deviation(const Eigen::VectorXd& x);

/// True when the values differ by no more than rounding: their spread is then noise of the last
/// digit, and a correlation with it would be an accident.
[[nodiscard]] bool is_constant(const Eigen::VectorXd& x);

/// Ranks from 1, ties sharing their mean rank.
[[nodiscard]] Eigen::VectorXd mid_ranks(const Eigen::VectorXd& x);
[[nodiscard]] int tied_values(const Eigen::VectorXd& x);  ///< how many share a value with another

/// Sum of products of neighbours about the mean over the sum of squares (NIST StRD's definition).
[[nodiscard]] double lag_one_autocorrelation(const Eigen::VectorXd& x);

/// Percentile of ascending values by linear interpolation between the order statistics at
/// (n - 1) p, the default of NumPy and R (type 7 of Hyndman and Fan 1996).
[[nodiscard]] double sorted_quantile(const Eigen::VectorXd& ascending, double probability);

}  // namespace moundwork::stats
