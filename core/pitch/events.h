// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/settings.h"
#include "core/pitch/throw_data.h"

namespace moundwork::pitch {

/// End of the quiet set before a drive, session time, s: the last stretch in which the back foot
/// carries part of the weight steadily (both feet down) or, where it always carries all of it, the
/// first steady stretch. NaN where there is none.
[[nodiscard]] double find_quiet_end(const foot::FootForces& back, double coarse_contact,
                                    double body_weight, const definitions::Settings& settings);

/// Samples between the stretches that are looked at for the quiet set, the first at the first
/// sample.
[[nodiscard]] Eigen::Index quiet_hop(double step);

/// The events as the catalogue defines them; `release` is taken over from the data. Those that
/// `moved` has a time for (not NaN) are there and nowhere else, and what is defined from them goes
/// with them.
[[nodiscard]] EventTimes find_events(const ThrowData& data, const definitions::Settings& settings,
                                     const EventTimes& moved = no_times());

}  // namespace moundwork::pitch
