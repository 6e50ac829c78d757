// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>
#include <vector>

#include "core/definitions/settings.h"
#include "core/foot/foot_window.h"
#include "core/pitch/throw_data.h"
#include "core/session/results.h"

namespace moundwork::pitch {

/// The times that a throw's numbers are read from, session time, s.
struct MeasuredSpans {
  foot::TimeSpan back, lead;  ///< each foot's own
  foot::TimeSpan summed;      ///< both plates, for body momentum: from the quiet set on
};

/// What a plate's own samples give to doubt about a throw: clock, gaps, clipping, zero. `ordinal`
/// stands before "plate"; `used` is its foot's own time.
[[nodiscard]] std::vector<session::ResultFlag> plate_flags(const foot::PlateWindow& window,
                                                           std::string_view ordinal,
                                                           double first_zero, foot::TimeSpan used,
                                                           foot::TimeSpan summed,
                                                           const definitions::Settings& settings);

/// What the load of a foot gives to doubt: forces that cannot be, a foot near the outer edge of its
/// plates. An edge between two of them is none.
[[nodiscard]] std::vector<session::ResultFlag> load_flags(
    const foot::FootWindow& window, const foot::FootForces& foot, session::PlateRole role,
    foot::TimeSpan used, foot::TimeSpan summed, const definitions::Settings& settings);

/// Makes unmeasurable what a gap too long to bridge touches.
void blank_gaps(const foot::PlateWindow& back, const foot::PlateWindow& lead,
                const MeasuredSpans& used, const definitions::Settings& settings,
                QuantityValues& quantities);

}  // namespace moundwork::pitch
