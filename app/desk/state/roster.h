// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/session.h"

namespace moundwork::desk {

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
};

/// Whole years on a day (both ISO 8601 dates); nothing when the date of birth is not known.
[[nodiscard]] std::optional<int> age_on(const RosterAthlete& athlete, const std::string& day);
/// Why this athlete should not be recorded yet: consent missing, guardian's consent missing for one
/// under 18; empty when nothing stands against it.
[[nodiscard]] std::string consent_missing(const RosterAthlete& athlete, const std::string& day);

/// The lab's athletes, in the order of the file. A delimited text file with a header line that any
/// spreadsheet opens; replaced as a whole.
[[nodiscard]] Result<std::vector<RosterAthlete>> read_roster(const std::filesystem::path& path);
[[nodiscard]] Result<void> write_roster(const std::filesystem::path& path,
                                        const std::vector<RosterAthlete>& athletes);

}  // namespace moundwork::desk
