// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/model/performance.h"
#include "core/model/station.h"
#include "core/session/session.h"

namespace moundwork::model {

/// The lines the radar sends during a performance, by arrival.
[[nodiscard]] std::vector<session::RadarReading> radar_lines(const Performance& performance,
                                                             const Station& station,
                                                             const StationSettings& settings,
                                                             Random& random);

}  // namespace moundwork::model
