// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/time/session_clock.h"

namespace moundwork::session {

/// One measured value of one throw, by its catalogue key (core/definitions/catalogue.h).
struct ResultValue {
  std::string key;
  Measured measured;
  std::string unit;
};

struct ResultFlag {
  std::string key;     ///< short name, e.g. "no_radar"
  std::string detail;  ///< one sentence with the numbers
};

struct ResultThrow {
  int number = 0;  ///< from 1 in order of time
  /// Lead contact as found, whatever a person made of it: what identifies the throw.
  SessionTime contact{};
  std::vector<ResultValue> events;  ///< s from the recording's start
  std::vector<ResultValue> quantities;
  std::vector<ResultFlag> flags;
};

/// One analysis of a session: what was found, by which software under which settings. Analyses are
/// appended, never replaced; the last one counts.
struct ResultSet {
  std::string made;      ///< ISO 8601 wall time
  std::string software;  ///< name and version
  std::string settings;  ///< every setting as JSON
  std::vector<ResultThrow> throws;
};

/// A change by a person, on the append-only list: the original stays.
struct Edit {
  std::string when;  ///< ISO 8601
  std::string who;
  std::string why;
  double throw_contact = 0.0;  ///< s; which throw
  /// "move_event", "exclude", "include", "tag", "reset" (moves of this throw, of `target` alone if
  /// given), "undo"
  std::string action;
  std::string target;  ///< event key or tag name
  double value = 0.0;  ///< new time, s, for move_event; row taken back, from 0, for undo
  std::string text;    ///< tag text
  double u = 0.0;      ///< standard uncertainty of a new time, s; 0 where none is stated
};

/// Results and edits stand beside the raw data in a companion file, SESSION.results.hdf5, which the
/// session file links to: the raw file is never opened for writing after capture, and the small
/// companion is replaced as a whole, so a kill at any moment leaves the old one or the new one. Its
/// ending differs so that `*.h5` names sessions alone.
[[nodiscard]] std::filesystem::path companion_path(const std::filesystem::path& session);

/// Folder in which a recording that is gone on with is first copied, under its own name since that
/// is what its links to the companion go by. A kill meanwhile leaves it.
[[nodiscard]] std::filesystem::path continue_folder(const std::filesystem::path& session);

/// `path` is the session file's.
[[nodiscard]] Result<void> append_results(const std::filesystem::path& path,
                                          const ResultSet& results);
/// The last analysis whose every row is there; an empty optional-like set (`made` empty) if none.
[[nodiscard]] Result<ResultSet> read_results(const std::filesystem::path& path);

/// Row of the edit in the list, counted from 0. Fails when a text is longer than its place in the
/// list.
[[nodiscard]] Result<std::size_t> append_edit(const std::filesystem::path& path, const Edit& edit);
/// The same of an edit that depends on those that are there, as an undo does: nobody adds another
/// between the choice and the append. What `choose` refuses is not appended.
[[nodiscard]] Result<std::size_t> append_edit(
    const std::filesystem::path& path,
    const std::function<Result<Edit>(std::span<const Edit>)>& choose);
[[nodiscard]] Result<std::vector<Edit>> read_edits(const std::filesystem::path& path);

}  // namespace moundwork::session
