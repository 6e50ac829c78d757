// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/pitch/settings.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/window.h"
#include "core/session/results.h"

namespace moundwork::pitch {

/// What a plate's own samples give to doubt about a throw: gaps, clipping, zero, a foot near the
/// plate's edge. `who` is "back" or "lead".
[[nodiscard]] std::vector<session::ResultFlag> plate_flags(const PlateWindow& window,
                                                           const FootForces& foot, const char* who,
                                                           double first_zero, Span used,
                                                           const Settings& settings);

/// Makes unmeasurable what a gap too long to bridge touches; `back_used` and `lead_used` are the
/// times each foot's numbers are read from.
void blank_gaps(const PlateWindow& back, const PlateWindow& lead, Span back_used, Span lead_used,
                const Settings& settings, QuantityValues& quantities);

}  // namespace moundwork::pitch
