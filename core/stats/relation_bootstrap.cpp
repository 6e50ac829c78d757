// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/relation_bootstrap.h"

#include <cmath>
#include <stdexcept>

#include "core/base/unknown.h"

namespace moundwork::stats {
namespace {

// Columns a quantity takes in the cluster sums.
enum Column : Eigen::Index {
  within_xx,
  within_xy,
  within_yy,
  one,
  mean_x,
  mean_y,
  mean_xx,
  mean_xy,
  mean_yy,
  column_count
};
constexpr int statistics_a_quantity = 3;
double ratio(double above, double below) { return below > 0.0 ? above / below : unknown; }

// A sum of squares that should be zero is left by rounding at this share of what it came from.
double cleaned(double square, double before) { return square > 1e-12 * before ? square : 0.0; }

void statistics_of(const Eigen::Ref<const Eigen::RowVectorXd>& totals,
                   Eigen::Ref<Eigen::RowVectorXd> statistics) {
  for (Eigen::Index q = 0; q < statistics.size() / statistics_a_quantity; ++q) {
    const auto s = totals.segment(q * column_count, column_count);
    auto out = statistics.segment(q * statistics_a_quantity, statistics_a_quantity);
    out[0] = ratio(s[within_xy], std::sqrt(s[within_xx] * s[within_yy]));
    out[1] = ratio(s[within_xy], s[within_xx]);
    const double n = s[one];
    const double xx = cleaned(s[mean_xx] - s[mean_x] * s[mean_x] / n, s[mean_xx]);
    const double yy = cleaned(s[mean_yy] - s[mean_y] * s[mean_y] / n, s[mean_yy]);
    out[2] = ratio(s[mean_xy] - s[mean_x] * s[mean_y] / n, std::sqrt(xx * yy));
  }
}

struct Pairs {
  Eigen::VectorXd x;
  Eigen::VectorXd y;
  std::vector<int> group;  // as numbered by the caller
};

Pairs complete_pairs(const Eigen::VectorXd& x, const Eigen::VectorXd& y, const Groups& groups) {
  std::vector<Eigen::Index> rows;
  for (Eigen::Index row = 0; row < x.size(); ++row)
    if (std::isfinite(x[row])) rows.push_back(row);
  Pairs pairs{x(rows), y(rows), {}};
  for (const auto row : rows) pairs.group.push_back(groups.of_row[static_cast<std::size_t>(row)]);
  return pairs;
}

void fill_sums(const Pairs& pairs, Eigen::Ref<Eigen::MatrixXd> sums) {
  if (pairs.x.size() == 0) return;
  const auto clusters = sums.rows();
  // About the grand mean, so that the squares of the means keep their digits.
  const Eigen::ArrayXd x = pairs.x.array() - pairs.x.mean();
  const Eigen::ArrayXd y = pairs.y.array() - pairs.y.mean();
  Eigen::ArrayXd n = Eigen::ArrayXd::Zero(clusters);
  Eigen::ArrayXd x_mean = Eigen::ArrayXd::Zero(clusters);
  Eigen::ArrayXd y_mean = Eigen::ArrayXd::Zero(clusters);
  for (std::size_t i = 0; i < pairs.group.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    n[pairs.group[i]] += 1.0;
    x_mean[pairs.group[i]] += x[row];
    y_mean[pairs.group[i]] += y[row];
  }
  const Eigen::ArrayXd present = (n > 0.0).cast<double>();
  x_mean /= n.max(1.0);
  y_mean /= n.max(1.0);
  for (std::size_t i = 0; i < pairs.group.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    const int g = pairs.group[i];
    const double dx = x[row] - x_mean[g];
    const double dy = y[row] - y_mean[g];
    sums(g, within_xx) += dx * dx;
    sums(g, within_xy) += dx * dy;
    sums(g, within_yy) += dy * dy;
  }
  // What rounding leaves of a quantity that is constant within groups must not pass for spread.
  const double left = 1e-24 * static_cast<double>(pairs.x.size()) * pairs.x.cwiseAbs().maxCoeff() *
                      pairs.x.cwiseAbs().maxCoeff();
  if (sums.col(within_xx).sum() <= left) sums.leftCols(within_yy).setZero();
  sums.col(one) = present;
  sums.col(mean_x) = x_mean;
  sums.col(mean_y) = y_mean;
  sums.col(mean_xx) = x_mean.square();
  sums.col(mean_xy) = x_mean * y_mean;
  sums.col(mean_yy) = y_mean.square();
}

}  // namespace

std::vector<RelationIntervals> bootstrap_relations(const Eigen::MatrixXd& x,
                                                   const Eigen::VectorXd& y, const Groups& groups,
                                                   double level, const ResampleSettings& settings) {
  if (x.rows() != y.size() || groups.rows() != y.size())
    throw std::invalid_argument("one row of x and one group for each y are needed");
  const auto quantities = x.cols();
  Eigen::MatrixXd sums = Eigen::MatrixXd::Zero(groups.count, quantities * column_count);
  for (Eigen::Index q = 0; q < quantities; ++q)
    fill_sums(complete_pairs(x.col(q), y, groups), sums.middleCols(q * column_count, column_count));
  const auto intervals = cluster_bootstrap(
      sums, statistics_of, static_cast<int>(quantities) * statistics_a_quantity, level, settings);
  std::vector<RelationIntervals> relations;
  relations.reserve(static_cast<std::size_t>(quantities));
  for (std::size_t q = 0; q < static_cast<std::size_t>(quantities); ++q) {
    const auto* own = &intervals[q * statistics_a_quantity];
    relations.push_back({own[0], own[1], own[2]});
  }
  return relations;
}

}  // namespace moundwork::stats
