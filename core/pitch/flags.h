// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/pitch/settings.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/window.h"
#include "core/session/results.h"

namespace moundwork::pitch {

/// The times that a throw's numbers are read from, session time, s.
struct UsedTimes {
  Span back, lead;  ///< each foot's own
  Span summed;      ///< both plates, for body momentum: from the quiet set on
};

/// What a plate's own samples give to doubt about a throw: gaps, clipping, forces that cannot be,
/// zero, a foot near the plate's edge. `who` is "back" or "lead", `used` that foot's own time.
[[nodiscard]] std::vector<session::ResultFlag> plate_flags(const PlateWindow& window,
                                                           const FootForces& foot, const char* who,
                                                           double first_zero, Span used,
                                                           Span summed, const Settings& settings);

/// Makes unmeasurable what a gap too long to bridge touches.
void blank_gaps(const PlateWindow& back, const PlateWindow& lead, const UsedTimes& used,
                const Settings& settings, QuantityValues& quantities);

}  // namespace moundwork::pitch
