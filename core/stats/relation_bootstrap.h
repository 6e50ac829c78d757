// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <vector>

#include "core/stats/bootstrap.h"
#include "core/stats/groups.h"

namespace moundwork::stats {

/// Intervals that hold without normal residuals or one slope common to all groups, because whole
/// groups are resampled.
struct RelationIntervals {
  BootstrapInterval within_r;      ///< repeated-measures correlation
  BootstrapInterval within_slope;  ///< of y on x inside groups
  BootstrapInterval between_r;     ///< Pearson of group means
};

/// One answer a column of x (rows x quantities; NaN where missing, y finite throughout), all from
/// the same resamples.
[[nodiscard]] std::vector<RelationIntervals> bootstrap_relations(const Eigen::MatrixXd& x,
                                                                 const Eigen::VectorXd& y,
                                                                 const Groups& groups, double level,
                                                                 const ResampleSettings& settings);

}  // namespace moundwork::stats
