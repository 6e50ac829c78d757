// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/stats/estimate.h"
#include "core/stats/groups.h"

namespace moundwork::stats {

/// Slope of y on x inside groups with an error that comes from how it moves as each group is left
/// out in turn (the jackknife, sqrt((k - 1) / k sum (b(-i) - mean)^2), Efron and Tibshirani 1993,
/// chapter 11), df = k - 1 for the k groups in which x varies. Unlike the error of one common line
/// it holds when every group has a slope of its own. NaN with fewer than two such groups.
[[nodiscard]] Estimate slope_by_group(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                      const Groups& groups, double level);

}  // namespace moundwork::stats
