// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <map>
#include <stop_token>
#include <string>
#include <vector>

#include "core/people/roster_athlete.h"

namespace moundwork::people {

/// Somebody whom sessions of the lab describe under an id.
struct IdUse {
  std::string name, born;
  std::filesystem::path session;  ///< one of them
};

/// Who stands under each id in the lab's sessions (in its folder and in sessions/); reads headers,
/// and ends with what it has when it is to stop.
[[nodiscard]] std::multimap<std::string, IdUse> id_uses(const std::filesystem::path& lab,
                                                        const std::stop_token& stop = {});

/// A sentence where sessions under the athlete's id may be of somebody else; else empty.
[[nodiscard]] std::string two_people_words(const RosterAthlete& athlete,
                                           const std::multimap<std::string, IdUse>& uses);

}  // namespace moundwork::people
