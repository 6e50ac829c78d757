// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/relate/settings.h"
#include "core/stats/estimate.h"

namespace moundwork::relate {

/// Drift over a session: change per pitch, one slope common to all sessions.
struct Trend {
  Quantity quantity;
  int pitches = 0;
  int sessions = 0;
  stats::Estimate per_pitch;
  std::string says;
};

/// Ball speed first, then every quantity, against the pitch's number within athlete and session.
/// Empty when no pitch has a number.
[[nodiscard]] std::vector<Trend> trends(const Pitches& pitches, const Settings& settings);

}  // namespace moundwork::relate
