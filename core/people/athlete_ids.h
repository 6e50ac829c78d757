// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/people/roster_athlete.h"

namespace moundwork::people {

/// The number of an id that this program gave: 7 of "A07"; nothing of other ids.
[[nodiscard]] std::optional<int> number_of(std::string_view id);
/// "A07".
[[nodiscard]] std::string id_of(int number);

/// The number that the next new athlete of the lab gets. Numbers count on: it comes after the
/// greatest on the roster, in the lab's sessions and weigh-ins, and after what lab.toml keeps as
/// `next_id`, so that the id of somebody who was removed or deleted is not given to another person,
/// whom files that lie elsewhere would then be taken for.
[[nodiscard]] Result<int> next_number(const std::filesystem::path& lab,
                                      const std::vector<RosterAthlete>& roster);

/// Notes in lab.toml that numbers below `next` have been given. Never counts back.
[[nodiscard]] Result<void> keep_next_number(const std::filesystem::path& lab, int next);

}  // namespace moundwork::people
