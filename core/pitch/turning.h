// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/settings.h"
#include "core/pitch/throw_data.h"

namespace moundwork::pitch {

/// Integral over session times [from, to] (s) of the vertical moment of both feet about their
/// common centre of pressure: couple of the horizontal forces and free moments, N m s, positive
/// where it twists the feet from the toe side toward home. NaN where a time is NaN or beyond the
/// recording.
[[nodiscard]] double turning_impulse(const ThrowData& data, double from, double to,
                                     const definitions::Settings& settings);

}  // namespace moundwork::pitch
