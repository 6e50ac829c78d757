// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <limits>
#include <string>
#include <utility>
#include <variant>
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

/// A column of the roster file that this program knows, and what of an athlete it holds.
struct RosterField {
  const char* column;
  std::variant<std::string RosterAthlete::*, double RosterAthlete::*,
               session::Hand RosterAthlete::*>
      member;
  bool is_day = false;  ///< an ISO 8601 date
  [[nodiscard]] constexpr bool is_number() const {
    return std::holds_alternative<double RosterAthlete::*>(member);
  }
};
/// In the order in which a new file has them. All that reads, writes and compares goes by these.
inline constexpr std::array<RosterField, 10> roster_fields{
    {{"id", &RosterAthlete::id},
     {"name", &RosterAthlete::name},
     {"born", &RosterAthlete::born, true},
     {"throws", &RosterAthlete::throws},
     {"height_m", &RosterAthlete::height},
     {"mass_kg", &RosterAthlete::mass},
     {"foot_length_m", &RosterAthlete::foot_length},
     {"consent", &RosterAthlete::consent, true},
     {"guardian_consent", &RosterAthlete::guardian_consent, true},
     {"notes", &RosterAthlete::notes}}};

/// A field's text as the file has it; numbers with a point.
[[nodiscard]] std::string roster_text(const RosterAthlete& athlete, const RosterField& field);
/// Gives one field the value that it has in `from`.
void take_field(RosterAthlete& athlete, const RosterAthlete& from, const RosterField& field);
/// Whether all fields that this program knows are the same.
[[nodiscard]] bool same(const RosterAthlete& one, const RosterAthlete& other);

}  // namespace moundwork::people
