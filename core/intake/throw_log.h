// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/results.h"

/// A coach's log of a day's throws as a table: what each was, in the words of the throw's tags.
namespace moundwork::intake {

struct LoggedTag {
  std::string tag;   ///< name of the tag that the column stands for
  std::string text;  ///< as it is to be kept
};

struct LoggedThrow {
  std::int64_t line = 0;  ///< in the file, from 1
  std::string session;    ///< name of the file, with or without its ending, or identity
  int number = 0;         ///< of the throw in its session
  std::vector<LoggedTag> tags;
};

struct ThrowLog {
  std::string name;                          ///< of the file, for sentences
  int session_column = 0, throw_column = 0;  ///< from 1
  std::vector<LoggedThrow> throws;
};

/// Delimited text (core/table) with the columns `session`, `throw` and one or more of `pitch` or
/// `pitch_type`, `cue`, `delivery`, `effort`, `warm_up`, `ball`, `block`. An empty cell says
/// nothing. Fails, naming line and column, on a column that is none of these, a cell that its field
/// cannot hold, and a throw that stands there twice.
[[nodiscard]] Result<ThrowLog> read_throw_log(const std::filesystem::path& path);

/// A session that a log may speak of.
struct LogTarget {
  std::string file;  ///< name without folders
  std::string id;
};

/// For each line of the log the place of its session among `targets`. Fails on a session that is
/// not among them, or is more than one of them.
[[nodiscard]] Result<std::vector<std::size_t>> sessions_of(const ThrowLog& log,
                                                           std::span<const LogTarget> targets);

/// The edits that a session lacks of what the log's lines of it say: none where its tags say it
/// already. `when`, `who` and `why` are the caller's to fill in. Fails on a throw that it has not.
[[nodiscard]] Result<std::vector<session::Edit>> edits_from_log(
    const ThrowLog& log, std::span<const LoggedThrow* const> lines,
    const session::ResultSet& results, std::span<const session::Edit> edits);

}  // namespace moundwork::intake
