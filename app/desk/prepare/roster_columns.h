// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <array>
#include <string>
#include <variant>

#include "app/desk/prepare/typed_quantity.h"
#include "app/desk/state/roster.h"
#include "core/base/result.h"
#include "core/intake/limits.h"
#include "core/safety/pitch_count.h"

namespace moundwork::desk {

/// What the roster's table shows of an athlete, in its order, and what lists that come in may hold.
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
  notes,
  // Of lists that come in alone: pieces of the name.
  first_name,
  last_name
};
inline constexpr int roster_column_count = 12;  ///< of the table
inline constexpr int list_column_count = 14;    ///< with those of lists that come in

/// How a number is shown and typed, and what it can be.
struct ColumnNumber {
  Dimension dimension;
  const char* unit;  ///< of a bare number
  double in_si;      ///< one of that unit
  int decimals;
  intake::Range limits;  ///< SI
};

/// How a cell that is typed becomes what the athlete has.
enum class CellKind { not_typed, id, text, day_past, hand, number, consent };

/// All that is to be said of a column; the table, its cells and lists that come in go by it.
struct ColumnEntry {
  RosterColumn column;
  const char* title;  ///< without the unit
  const char* help;   ///< what to type there, for a tool tip
  CellKind kind;
  /// Where the athlete has it; nothing for what follows from the rest.
  std::variant<std::monostate, std::string RosterAthlete::*, double RosterAthlete::*,
               session::Hand RosterAthlete::*>
      member;
  /// Headings by which a list's column is known: lower case, letters alone, words apart by blanks.
  const char* headings;
  ColumnNumber number = {};  ///< of kind number
};
[[nodiscard]] const ColumnEntry& entry_of(RosterColumn column);

/// With its unit, as the table's heading: "Height (m)".
[[nodiscard]] QString column_title(RosterColumn column);
/// Turn and age follow from the rest.
[[nodiscard]] bool can_edit(RosterColumn column);

/// `day` is today, ISO 8601. Empty for the turn, which the roster does not know.
[[nodiscard]] QString cell_text(const RosterAthlete& athlete, RosterColumn column,
                                const std::string& day);

/// The athlete with one cell typed anew. Numbers may carry units; a bare one is taken in the
/// column's. "yes" to consent notes `day`; days with slashes are read in `order`.
[[nodiscard]] Result<RosterAthlete> with_cell(RosterAthlete athlete, RosterColumn column,
                                              const QString& text, const std::string& day,
                                              DayOrder order = DayOrder::unsettled);
/// Likewise with a bare number in `unit`, empty where that is not known: then it is refused.
[[nodiscard]] Result<RosterAthlete> with_cell_in(RosterAthlete athlete, RosterColumn column,
                                                 const QString& text, const QString& unit,
                                                 const std::string& day, DayOrder order);

/// What the table of pitch counts says for the athlete's age, in one sentence with its source.
[[nodiscard]] QString age_caution(const RosterAthlete& athlete, const std::string& day,
                                  const safety::PitchCountTable& table);

}  // namespace moundwork::desk
