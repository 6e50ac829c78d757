// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "core/definitions/settings.h"
#include "core/session/results.h"
#include "core/session/session.h"
#include "drivers/recorder/live_view.h"

namespace moundwork::drivers {

/// s to look back for a stand: `heavy_stand_length` with room for where it begins.
inline constexpr double mass_look = 2.0;

/// Where a foot's plates carry more than the athlete is said to weigh, steadily, in what is shown:
/// the flag that the analysis of the whole session gives, while it can still be put right. A foot
/// with a plate whose zero has not been seen says nothing.
[[nodiscard]] std::optional<session::ResultFlag> doubt_of_mass(
    const LiveSnapshot& shown, const session::Session& session,
    const definitions::Settings& settings = {});

}  // namespace moundwork::drivers
