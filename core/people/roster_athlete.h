// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "core/session/session.h"

/// The lab's roster: who throws here, who agreed to be measured.
namespace moundwork::people {

/// One athlete of the lab's roster. SI; NaN and empty where not known.
struct RosterAthlete {
  std::string id;  ///< identity in files, unique
  std::string name;
  std::string born;  ///< ISO 8601 date
  session::Hand throws = session::Hand::right;
  double height = std::numeric_limits<double>::quiet_NaN();       ///< m
  double mass = std::numeric_limits<double>::quiet_NaN();         ///< kg, from the last weigh-in
  double foot_length = std::numeric_limits<double>::quiet_NaN();  ///< m
  /// The athlete agreed, and for a minor a guardian too; dates of it, ISO 8601.
  std::string consent;
  std::string guardian_consent;
  std::string notes;
  /// What the lab's own columns hold, by heading, as it stands in the file.
  std::vector<std::pair<std::string, std::string>> other = {};
};

/// The fields that this program knows, by their columns in the file.
inline constexpr int roster_field_count = 10;
[[nodiscard]] const char* roster_column(int field);
/// A field's text as the file has it; numbers with a point.
[[nodiscard]] std::string roster_text(const RosterAthlete& athlete, int field);
/// Gives one field the value that it has in `from`.
void take_field(RosterAthlete& athlete, const RosterAthlete& from, int field);
/// Whether all fields that this program knows are the same.
[[nodiscard]] bool same(const RosterAthlete& one, const RosterAthlete& other);

}  // namespace moundwork::people
