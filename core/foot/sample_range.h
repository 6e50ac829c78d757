// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "core/foot/foot_forces.h"

namespace moundwork::foot {

/// Indices of consecutive samples of a foot, the last included.
struct SampleRange {
  Eigen::Index first = 0, last = -1;
  [[nodiscard]] bool empty() const { return last < first; }
  [[nodiscard]] Eigen::Index count() const { return last - first + 1; }
};

/// Those within [from, to], session times in s; none where a time is NaN.
[[nodiscard]] inline SampleRange samples_in(const FootForces& foot, double from, double to) {
  if (!(from <= to)) return {};
  return {std::max<Eigen::Index>(0, static_cast<Eigen::Index>(std::ceil(foot.index(from)))),
          std::min<Eigen::Index>(foot.size() - 1,
                                 static_cast<Eigen::Index>(std::floor(foot.index(to))))};
}

}  // namespace moundwork::foot
