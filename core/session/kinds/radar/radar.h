// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/kinds/kind.h"

namespace moundwork::session {

[[nodiscard]] const Kind& radar_kind();

/// The name of a session's radar among its event sources.
inline constexpr const char* radar_name = "radar";

[[nodiscard]] InstrumentEvent event_of(const RadarReading& reading);
[[nodiscard]] RadarReading reading_of(InstrumentEvent event);

}  // namespace moundwork::session
