// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include "app/desk/state/roster.h"
#include "core/weigh_in/weigh_in_file.h"
#include "drivers/recorder/live_feet.h"

namespace moundwork::desk {

/// Whether a weigh-in's mass becomes the roster's: not where one of the two must be wrong.
[[nodiscard]] bool goes_to_roster(const weigh_in::WeighIn& weighed, const RosterAthlete& before);

/// What has been kept of a weigh-in, and what became of the mass that the roster had before.
[[nodiscard]] QString kept_words(const weigh_in::WeighIn& kept, const RosterAthlete& before);

/// "78.4 ± 0.1 kg, foot known": how an athlete stands today.
[[nodiscard]] QString standing_words(const weigh_in::WeighIn& last, const RosterAthlete& athlete);

/// "Back foot 40.2 kg, lead foot 41.0 kg.": which foot stands, where that is not plain from plates.
[[nodiscard]] QString feet_words(const drivers::LiveFeet& feet);

}  // namespace moundwork::desk
