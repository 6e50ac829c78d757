// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/session/session.h"

namespace moundwork::summary {

/// A place under a foot as shares of its heel-to-toe line: along it (0 heel, 1 toe) and off it
/// toward the foot's inner side.
struct SolePoint {
  double along = 0.0, inner = 0.0;
};

/// Outline of a sole about its heel-to-toe line, closed: a picture to read the pressure by, not a
/// measurement. Where the line came from says how much of the sole lies beyond its ends.
[[nodiscard]] std::vector<SolePoint> sole_outline(session::FootLineSource source);

}  // namespace moundwork::summary
