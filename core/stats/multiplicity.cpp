// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/multiplicity.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace moundwork::stats {

std::vector<double> benjamini_hochberg(std::span<const double> p) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < p.size(); ++i)
    if (!std::isnan(p[i])) order.push_back(i);
  std::sort(order.begin(), order.end(), [&](auto a, auto b) { return p[a] > p[b]; });

  std::vector<double> adjusted(p.size(), std::numeric_limits<double>::quiet_NaN());
  const double tests = static_cast<double>(order.size());
  double least = 1.0;
  double rank = tests;
  for (const std::size_t i : order) {
    least = std::min(least, p[i] * tests / rank);
    adjusted[i] = least;
    rank -= 1.0;
  }
  return adjusted;
}

}  // namespace moundwork::stats
