// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <cstddef>

namespace moundwork::stats {

/// Middle of some values (a vector or an Eigen array, not empty, no NaN), of an even number the
/// upper of the two in the middle: always one of them, which for many values does not matter.
template <class Values>
[[nodiscard]] auto median(Values values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace moundwork::stats
