// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/groups.h"

#include <stdexcept>
#include <unordered_map>

namespace moundwork::stats {
namespace {

void require_same_rows(const Eigen::VectorXd& x, const Groups& groups) {
  if (x.size() != groups.rows()) throw std::invalid_argument("one group index a row is needed");
}

}  // namespace

Groups group_by(std::span<const std::string> labels) {
  Groups groups;
  std::unordered_map<std::string, int> seen;
  groups.of_row.reserve(labels.size());
  for (const auto& label : labels)
    groups.of_row.push_back(seen.emplace(label, static_cast<int>(seen.size())).first->second);
  groups.count = static_cast<int>(seen.size());
  return groups;
}

Eigen::VectorXd group_sizes(const Groups& groups) {
  Eigen::VectorXd sizes = Eigen::VectorXd::Zero(groups.count);
  for (const int group : groups.of_row) sizes[group] += 1.0;
  return sizes;
}

Eigen::VectorXd group_means(const Eigen::VectorXd& x, const Groups& groups) {
  require_same_rows(x, groups);
  // About the grand mean, so that a large common level costs no digits.
  const double centre = x.size() > 0 ? x.mean() : 0.0;
  Eigen::VectorXd sums = Eigen::VectorXd::Zero(groups.count);
  for (Eigen::Index row = 0; row < x.size(); ++row)
    sums[groups.of_row[static_cast<std::size_t>(row)]] += x[row] - centre;
  return (sums.array() / group_sizes(groups).array() + centre).matrix();
}

Eigen::VectorXd spread_to_rows(const Eigen::VectorXd& of_group, const Groups& groups) {
  if (of_group.size() != groups.count) throw std::invalid_argument("one value a group is needed");
  Eigen::VectorXd rows(groups.rows());
  for (Eigen::Index row = 0; row < rows.size(); ++row)
    rows[row] = of_group[groups.of_row[static_cast<std::size_t>(row)]];
  return rows;
}

Eigen::VectorXd within_groups(const Eigen::VectorXd& x, const Groups& groups) {
  return x - spread_to_rows(group_means(x, groups), groups);
}

}  // namespace moundwork::stats
