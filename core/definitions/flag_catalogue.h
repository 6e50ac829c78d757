// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

#include "core/definitions/catalogue.h"

/// What can be doubtful about a throw or a session: keys, meanings and the words of the details,
/// the single place that results, tables and the definitions page share.
namespace moundwork::definitions {

/// One wording each; wordings of one doubt share its key.
enum class Flag : std::size_t {
  foot_partly_off_plate,
  foot_partly_off_plates,
  other_plate_in_drive,
  other_plate_in_landing,
  back_foot_on_lead_plate,
  lead_foot_on_back_plate,
  clipped_channel,
  channel_stuck,
  missing_samples,
  missing_samples_often,
  counter_disagrees,
  samples_disagree,
  implausible_force,
  drifted_zero,
  zero_not_seen,
  heavier_than_stated,
  no_radar_reading,
  no_single_radar_reading,
  no_radar_at_all,
  two_radar_readings,
  implausible_reading,
  implausible_given_speed,
  release_disagreement,
  estimated_release,
  unusable_release,
  assumed_air,
  no_foot_line,
  estimated_foot_line,
  moved_event,
  placed_event,
  events_out_of_order,
  move_not_used,
  no_quiet_set,
  no_load_phase,
  throw_not_measured,
  contact_not_found,
  ball_speed_not_used,
  landed_on_loaded_lead_plate,
  landed_on_back_plate,
  no_throw_found,
  no_throw_for_mass,
  count
};
inline constexpr std::size_t flag_count = static_cast<std::size_t>(Flag::count);

/// What a doubt is about.
enum class Concern { plate, ball, foot, event, session };

struct FlagEntry {
  std::string_view key;
  Concern about = Concern::session;  ///< a plate's detail names which
  /// An event whose place by hand ends the doubt.
  std::optional<Event> ends_with = std::nullopt;
  std::string_view meaning;  ///< when it is set, as the definitions page says
  /// The detail's words: one sentence's template with named values (fmt).
  std::string_view detail;
};

[[nodiscard]] const FlagEntry& entry(Flag flag);
/// The first wording of a key; none for a key that is no flag's.
[[nodiscard]] const FlagEntry* find_flag(std::string_view key);

/// Place of a key in lists that people read: what changes what can be concluded from the numbers
/// comes first, what merely widens them last. An unknown key, of a later version, comes first.
[[nodiscard]] std::size_t place_in_lists(std::string_view key);

}  // namespace moundwork::definitions
