// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/people/day_throws.h"
#include "core/safety/pitch_count.h"

namespace moundwork::summary {

/// What stands on every page about throwing hard, the pitch counts of the athlete's age and what
/// the numbers are not. `found`: throws of the session, whether they count or not; `beside`: what
/// the athlete threw besides on that day, as far as it is known. Never a permission: other throws
/// of the day are nobody's knowledge here.
[[nodiscard]] std::vector<std::string> cautions(std::optional<int> age, int found,
                                                const people::DayThrows& beside,
                                                const safety::PitchCountTable& table);

}  // namespace moundwork::summary
