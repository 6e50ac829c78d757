// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/slope_by_group.h"

#include <cmath>
#include <vector>

namespace moundwork::stats {

Estimate slope_by_group(const Eigen::VectorXd& x, const Eigen::VectorXd& y, const Groups& groups,
                        double level) {
  const Eigen::VectorXd dx = within_groups(x, groups);
  const Eigen::VectorXd dy = within_groups(y, groups);
  Eigen::ArrayXd xx = Eigen::ArrayXd::Zero(groups.count);
  Eigen::ArrayXd xy = Eigen::ArrayXd::Zero(groups.count);
  for (Eigen::Index row = 0; row < dx.size(); ++row) {
    const int group = groups.of_row[static_cast<std::size_t>(row)];
    xx[group] += dx[row] * dx[row];
    xy[group] += dx[row] * dy[row];
  }
  std::vector<Eigen::Index> varying;
  for (Eigen::Index group = 0; group < groups.count; ++group)
    if (xx[group] > 1e-20 * xx.sum()) varying.push_back(group);
  if (varying.size() < 2) return {};
  const double k = static_cast<double>(varying.size());
  const Eigen::ArrayXd left = (xy.sum() - xy(varying)) / (xx.sum() - xx(varying));
  const double variance = (k - 1.0) / k * (left - left.mean()).square().sum();
  return t_estimate(xy.sum() / xx.sum(), std::sqrt(variance), k - 1.0, level);
}

}  // namespace moundwork::stats
