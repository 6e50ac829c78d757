// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/descriptive.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "core/base/unknown.h"

namespace moundwork::stats {
namespace {

std::vector<Eigen::Index> ascending_order(const Eigen::VectorXd& x) {
  std::vector<Eigen::Index> order(static_cast<std::size_t>(x.size()));
  std::iota(order.begin(), order.end(), Eigen::Index{0});
  std::sort(order.begin(), order.end(), [&](auto a, auto b) { return x[a] < x[b]; });
  return order;
}

// Calls run(first, last) for each stretch of equal values in ascending order.
template <class Run>
void for_each_tie(const Eigen::VectorXd& x, const std::vector<Eigen::Index>& order, Run run) {
  for (std::size_t first = 0; first < order.size();) {
    std::size_t last = first + 1;
    while (last < order.size() && x[order[last]] == x[order[first]]) ++last;
    run(first, last);
    first = last;
  }
}

}  // namespace

double standard_deviation(const Eigen::VectorXd& x) {
  if (x.size() < 2) return unknown;
  return std::sqrt((x.array() - x.mean()).square().sum() / static_cast<double>(x.size() - 1));
}

bool is_constant(const Eigen::VectorXd& x) {
  if (x.size() == 0) return true;
  const double largest = x.cwiseAbs().maxCoeff();
  return x.maxCoeff() - x.minCoeff() <= 64.0 * std::numeric_limits<double>::epsilon() * largest;
}

Eigen::VectorXd mid_ranks(const Eigen::VectorXd& x) {
  Eigen::VectorXd ranks(x.size());
  const auto order = ascending_order(x);
  for_each_tie(x, order, [&](std::size_t first, std::size_t last) {
    const double rank = 0.5 * static_cast<double>(first + 1 + last);
    for (std::size_t i = first; i < last; ++i) ranks[order[i]] = rank;
  });
  return ranks;
}

int tied_values(const Eigen::VectorXd& x) {
  int tied = 0;
  for_each_tie(x, ascending_order(x), [&](std::size_t first, std::size_t last) {
    if (last - first > 1) tied += static_cast<int>(last - first);
  });
  return tied;
}

double lag_one_autocorrelation(const Eigen::VectorXd& x) {
  if (x.size() < 2) return unknown;
  const Eigen::ArrayXd deviation = x.array() - x.mean();
  const auto last = x.size() - 1;
  return (deviation.head(last) * deviation.tail(last)).sum() / deviation.square().sum();
}

double sorted_quantile(const Eigen::VectorXd& ascending, double probability) {
  if (ascending.size() == 0 || std::isnan(probability)) return unknown;
  const double place =
      std::clamp(probability, 0.0, 1.0) * static_cast<double>(ascending.size() - 1);
  const auto below = static_cast<Eigen::Index>(std::floor(place));
  const auto above = std::min(below + 1, ascending.size() - 1);
  return ascending[below] +
         (place - static_cast<double>(below)) * (ascending[above] - ascending[below]);
}

}  // namespace moundwork::stats
