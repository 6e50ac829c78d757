// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "core/people/roster_athlete.h"

namespace moundwork::desk {

using people::RosterAthlete;

/// Whole years on a day (both ISO 8601 dates); nothing when the date of birth is not known.
[[nodiscard]] std::optional<int> age_on(const RosterAthlete& athlete, const std::string& day);
/// Why this athlete should not be recorded yet: consent missing, guardian's consent missing for one
/// under 18; empty when nothing stands against it.
[[nodiscard]] std::string consent_missing(const RosterAthlete& athlete, const std::string& day);

}  // namespace moundwork::desk
