// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "core/relate/change.h"
#include "core/relate/day_means.h"

namespace moundwork::relate {

/// Nothing where neither mass nor height is known to differ between the two sessions.
[[nodiscard]] std::optional<Growth> growth_of(const Pitches& pitches, const Days& days,
                                              const std::string& athlete, const std::string& from,
                                              const std::string& to);

}  // namespace moundwork::relate
