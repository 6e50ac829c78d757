// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/spread.h"

#include <Eigen/Core>

#include "core/stats/descriptive.h"

namespace moundwork::summary {

Spread spread_of(const std::vector<double>& ascending) {
  Spread spread;
  spread.athletes = static_cast<int>(ascending.size());
  const Eigen::VectorXd values = Eigen::Map<const Eigen::VectorXd>(
      ascending.data(), static_cast<Eigen::Index>(ascending.size()));
  if (spread.athletes >= least_others)
    spread.middle = {ascending.front(), stats::sorted_quantile(values, 0.5), ascending.back()};
  if (spread.athletes >= least_for_percentile)
    for (const int percent : {5, 10, 25, 50, 75, 90, 95})
      spread.percentiles.emplace_back(percent, stats::sorted_quantile(values, 0.01 * percent));
  return spread;
}

}  // namespace moundwork::summary
