// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "core/foot/load_trace.h"

namespace moundwork::foot {

/// What stood still on a plate.
struct SteadyLoad {
  double time = 0.0;   ///< session time of its middle, s
  double force = 0.0;  ///< N, mean of the vertical force
};

/// The heaviest load of a tared trace that kept within `range` (least to greatest of its bins, as a
/// share of the load itself) for `length` s; none where nothing was steady for so long.
[[nodiscard]] std::optional<SteadyLoad> heaviest_steady(const LoadTrace& tared, double length,
                                                        double range);

}  // namespace moundwork::foot
