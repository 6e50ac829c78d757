// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "core/definitions/settings.h"
#include "core/foot/load_trace.h"

namespace moundwork::foot {

/// A stretch in which nobody stood on a plate: what its zero is read from.
struct UnloadedStretch {
  double begin = 0.0;  ///< session time, s
  double end = 0.0;
  double vertical = 0.0;  ///< N, mean
};

/// Whether the vertical readings of some time can be an empty plate's, by their range and mean, N.
[[nodiscard]] bool looks_empty(double range, double mean, const definitions::Settings& settings);
/// Whether a mean can be the zero that follows another: zeros creep and do not jump. N.
[[nodiscard]] bool continues_zero(double last, double mean, const definitions::Settings& settings);

/// All unloaded stretches of a trace, in order: steady to within the settings' range and near the
/// zero before, which may creep but not jump.
[[nodiscard]] std::vector<UnloadedStretch> unloaded_stretches(
    const LoadTrace& trace, const definitions::Settings& settings);

/// The trace less its zero at each moment (the last unloaded stretch; before the first, that one),
/// N. Without any stretch the trace as it is.
[[nodiscard]] Eigen::ArrayXf tared_vertical(const LoadTrace& trace,
                                            const std::vector<UnloadedStretch>& stretches);

/// The stretch nearest to a moment of a throw, one inside a longer unloaded time before one at its
/// edge; none if there is none at all.
[[nodiscard]] std::optional<UnloadedStretch> nearest_stretch(
    const std::vector<UnloadedStretch>& stretches, double from, double to);

}  // namespace moundwork::foot
