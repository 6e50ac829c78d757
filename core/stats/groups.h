// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <span>
#include <string>
#include <vector>

namespace moundwork::stats {

/// Which athlete (or session, or block) each row belongs to.
struct Groups {
  std::vector<int> of_row;  ///< 0 .. count - 1
  int count = 0;

  [[nodiscard]] Eigen::Index rows() const { return static_cast<Eigen::Index>(of_row.size()); }
};

/// Numbers the labels in order of first appearance; every group has at least one row.
[[nodiscard]] Groups group_by(std::span<const std::string> labels);

[[nodiscard]] Eigen::VectorXd group_sizes(const Groups& groups);                     // count
[[nodiscard]] Eigen::VectorXd group_means(const Eigen::VectorXd& x, const Groups&);  // count
/// Each row's value minus its group's mean (rows).
[[nodiscard]] Eigen::VectorXd within_groups(const Eigen::VectorXd& x, const Groups& groups);
/// Each row's group mean (rows).
[[nodiscard]] Eigen::VectorXd spread_to_rows(const Eigen::VectorXd& of_group, const Groups& groups);

}  // namespace moundwork::stats
