// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/groups.h"

#include <array>
#include <catch2/catch.hpp>

using namespace moundwork::stats;

TEST_CASE("Labels are numbered as they first appear", "[stats]") {
  const std::array<std::string, 5> labels{"Ari", "Bo", "Ari", "Cy", "Bo"};
  const auto groups = group_by(labels);
  CHECK(groups.count == 3);
  CHECK(groups.of_row == std::vector<int>{0, 1, 0, 2, 1});
}

TEST_CASE("Means and deviations of groups, by hand", "[stats]") {
  const Groups groups{{0, 1, 0, 1, 1}, 2};
  const Eigen::VectorXd x = (Eigen::VectorXd(5) << 1, 10, 3, 20, 30).finished();
  CHECK(group_sizes(groups) == Eigen::Vector2d(2, 3));
  CHECK(group_means(x, groups).isApprox(Eigen::Vector2d(2, 20)));
  CHECK(within_groups(x, groups).isApprox((Eigen::VectorXd(5) << -1, -10, 1, 0, 10).finished()));
}

TEST_CASE("A large common level costs no digits", "[stats]") {
  const Groups groups{{0, 0, 1, 1}, 2};
  const Eigen::VectorXd x =
      (Eigen::VectorXd(4) << 1e9 + 0.25, 1e9 + 0.75, 1e9 + 1.25, 1e9 + 1.75).finished();
  CHECK((group_means(x, groups).array() - 1e9 == Eigen::Array2d(0.5, 1.5)).all());
}
