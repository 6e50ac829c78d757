// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/steady_load.h"

#include <algorithm>
#include <cmath>

namespace moundwork::foot {

std::optional<SteadyLoad> heaviest_steady(const LoadTrace& tared, double length, double range) {
  const auto bins =
      std::max<Eigen::Index>(1, static_cast<Eigen::Index>(std::lround(length / trace_bin)));
  const Eigen::Index hop = std::max<Eigen::Index>(1, bins / 20);
  std::optional<SteadyLoad> heaviest;
  for (Eigen::Index first = 0; first + bins <= tared.size(); first += hop) {
    const auto piece = tared.vertical.segment(first, bins);
    const float mean = piece.mean();  // no number where samples are missing
    if (!std::isfinite(mean) || (heaviest && !(mean > heaviest->force))) continue;
    if (!(piece.maxCoeff() - piece.minCoeff() <= range * mean)) continue;
    heaviest = SteadyLoad{tared.time(first + bins / 2), mean};
  }
  return heaviest;
}

}  // namespace moundwork::foot
