// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <string>

#include "app/desk/prepare/typed_quantity.h"
#include "app/desk/state/roster.h"
#include "core/base/result.h"
#include "core/safety/pitch_count.h"

namespace moundwork::desk {

enum class RosterColumn {
  turn,
  id,
  name,
  born,
  age,
  hand,
  height,
  mass,
  foot_length,
  consent,
  guardian_consent,
  notes
};
inline constexpr int roster_column_count = 12;

[[nodiscard]] QString column_title(RosterColumn column);
/// What to type there, for a tool tip.
[[nodiscard]] QString column_help(RosterColumn column);
/// Turn and age follow from the rest.
[[nodiscard]] bool can_edit(RosterColumn column);

/// `day` is today, ISO 8601. Empty for the turn, which the roster does not know.
[[nodiscard]] QString cell_text(const RosterAthlete& athlete, RosterColumn column,
                                const std::string& day);

/// The athlete with one cell typed anew. Numbers may carry units, "yes" to consent notes `day`;
/// days with slashes are read in `order`.
[[nodiscard]] Result<RosterAthlete> with_cell(RosterAthlete athlete, RosterColumn column,
                                              const QString& text, const std::string& day,
                                              DayOrder order = DayOrder::unsettled);

/// What the table of pitch counts says for the athlete's age, in one sentence with its source.
[[nodiscard]] QString age_caution(const RosterAthlete& athlete, const std::string& day,
                                  const safety::PitchCountTable& table);

/// Bounds of what a person can be; a number outside was typed in another unit.
[[nodiscard]] Result<void> check_height(double height, const std::string& where);
[[nodiscard]] Result<void> check_mass(double mass, const std::string& where);
[[nodiscard]] Result<void> check_foot_length(double length, const std::string& where);

}  // namespace moundwork::desk
