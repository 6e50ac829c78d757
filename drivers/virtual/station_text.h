// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/session/session.h"

namespace moundwork::drivers {

/// The station file of a session that is played through virtual ports beside the file: binary
/// frames for each device, lines "R 91.3 mph" (B: going back) for the radar. `pace`: session
/// seconds that are played in a second.
[[nodiscard]] std::string station_text(const session::Session& session, double pace = 1.0);

}  // namespace moundwork::drivers
