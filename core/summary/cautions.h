// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/safety/pitch_count.h"

namespace moundwork::summary {

/// What stands on every page about throwing hard, the pitch counts of the athlete's age and what
/// the numbers are not. `found`: throws of the session, whether they count or not.
[[nodiscard]] std::vector<std::string> cautions(std::optional<int> age, int found,
                                                const safety::PitchCountTable& table);

}  // namespace moundwork::summary
