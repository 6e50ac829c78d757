// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/session/companion.h"
#include "core/time/session_clock.h"

namespace moundwork::session {

/// One measured value of one throw, by its catalogue key (core/definitions/catalogue.h).
struct ResultValue {
  std::string key;
  Measured measured;
  std::string unit;
  /// Of `measured.u`, the part that all throws of the session share; NaN where nobody noted it.
  double shared_u = std::numeric_limits<double>::quiet_NaN();
};

struct ResultFlag {
  std::string key;          ///< short name, e.g. "no_radar"
  std::string detail;       ///< one sentence with the numbers
  std::string target = {};  ///< key of the event that it is about; empty where it is about none
};

struct ResultThrow {
  int number = 0;  ///< from 1 in order of time
  /// Lead contact as found, whatever a person made of it: what identifies the throw.
  SessionTime contact{};
  std::vector<ResultValue> events;  ///< s from the recording's start
  std::vector<ResultValue> quantities;
  std::vector<ResultFlag> flags;
};

/// One analysis of a session: what was found, by which software under which settings.
struct ResultSet {
  std::string made;      ///< ISO 8601 wall time
  std::string software;  ///< name and version
  std::string settings;  ///< every setting as JSON
  std::vector<ResultThrow> throws;
  /// So many edits, from the first of the list, were there for the analysis to follow.
  std::size_t edits_known = 0;
};

/// Only the last analysis is ever read. Some before it stay, so that a person can see with any HDF5
/// reader what a new version or other settings changed; all of them would make each edit and each
/// reading slower for ever.
inline constexpr int analyses_kept = 3;

/// Adds an analysis, the last `kept` stay: so many as the lab has settled (lab.toml), else
/// `analyses_kept`, where nobody says. Fails where the companion is another session's, or is of
/// an earlier version and nobody has claimed it.
[[nodiscard]] Result<void> append_results(const std::filesystem::path& path,
                                          const ResultSet& results,
                                          std::optional<int> kept = std::nullopt);
/// The last analysis whose every row is there; an empty optional-like set (`made` empty) if none.
/// Fails where the companion is another session's.
[[nodiscard]] Result<ResultSet> read_results(const std::filesystem::path& path,
                                             Unidentified unidentified = Unidentified::refused);

}  // namespace moundwork::session
