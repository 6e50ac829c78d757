// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/pitch/settings.h"
#include "core/pitch/throw_data.h"

namespace moundwork::pitch {

/// Every quantity as the catalogue defines it; NaN where an event it needs is missing.
[[nodiscard]] QuantityValues compute_quantities(const ThrowData& data, const EventTimes& events,
                                                const Settings& settings);

}  // namespace moundwork::pitch
