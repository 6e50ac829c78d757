// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <limits>
#include <vector>

#include "core/base/progress.h"

namespace moundwork::stats {

struct BootstrapInterval {
  double low = std::numeric_limits<double>::quiet_NaN();
  double high = std::numeric_limits<double>::quiet_NaN();
  int usable = 0;  ///< replicates in which the statistic was defined
};

/// Bias-corrected and accelerated interval (Efron 1987, JASA 82:171) from the statistic's
/// replicates and its leave-one-out values; ties with the estimate count half in the bias
/// correction. NaN ends when fewer than 95 % of the replicates are defined, since what is left out
/// is then no accident.
[[nodiscard]] BootstrapInterval bca_interval(double estimate, const Eigen::VectorXd& replicates,
                                             const Eigen::VectorXd& leave_one_out, double level);

struct ResampleSettings {
  int resamples = 10000;
  std::uint64_t seed = 1;
  int threads = 0;         ///< 0: as many as the machine has
  Progress progress = {};  ///< when told to stop, every interval's ends are NaN
};

/// Statistics of sums over clusters: `totals` holds one value a column of the cluster sums; writes
/// the statistics, NaN where undefined. Called from several threads.
using StatisticsOfSums = std::function<void(const Eigen::Ref<const Eigen::RowVectorXd>& totals,
                                            Eigen::Ref<Eigen::RowVectorXd> statistics)>;

/// Whole clusters drawn with replacement, as many as there are. Because every statistic is a
/// function of sums, a resample is a vector of counts and all the sums come from one matrix
/// product; the rows themselves are never touched. One BCa interval a statistic. The answer depends
/// on the seed and not on the number of threads.
/// @param sums clusters x columns  @param statistic_count how many the function writes
[[nodiscard]] std::vector<BootstrapInterval> cluster_bootstrap(const Eigen::MatrixXd& sums,
                                                               const StatisticsOfSums& statistics,
                                                               int statistic_count, double level,
                                                               const ResampleSettings& settings);

}  // namespace moundwork::stats
