// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "core/summary/group.h"

namespace moundwork::summary {

/// How a group's values lie, one of each athlete; as much of it as does not show one person's.
struct Spread {
  int athletes = 0;
  struct Middle {
    double lowest = 0.0, median = 0.0, highest = 0.0;
  };
  std::optional<Middle> middle;  ///< from `least_others` on
  std::vector<std::pair<int, double>>
      percentiles;  ///< percent and value, from `least_for_percentile` on
};
/// `ascending` values.
[[nodiscard]] Spread spread_of(const std::vector<double>& ascending);

}  // namespace moundwork::summary
