// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/relate/pitches.h"

namespace moundwork::relate {

/// A table as text; every row has a cell a column.
struct TextTable {
  std::string name;  ///< of the file, for sentences
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;
  std::vector<std::int64_t> lines;  ///< of each row in the file
};

/// Which column holds what.
struct TableColumns {
  std::string athlete;
  std::string ball_speed;
  std::vector<std::string> quantities;
  std::optional<std::string> mass;
  std::optional<std::string> session;
  std::optional<std::string> number;  ///< of the pitch in its session
  std::optional<std::string> pitch_type;
  std::optional<std::string> delivery;
  std::optional<std::string> effort;  ///< with its scale, "90%" or "9/10"
  std::optional<std::string> height;
  std::optional<std::string> age;
  std::optional<std::string> retest;  ///< names the session that this pitch's session repeats
  std::optional<std::string> cue;
  std::optional<std::string> block;
  /// "QUANTITY=COLUMN" or "QUANTITY=NUMBER": standard uncertainties, in the quantity's unit; the
  /// ball speed's column may be named too.
  std::vector<std::string> uncertainties;
};

/// Delimited text with a header line (core/table).
[[nodiscard]] Result<TextTable> read_text_table(const std::filesystem::path& path);

/// Fails on a column that is not there, is named twice or holds something other than numbers;
/// missing values stay in as NaN, to be counted.
[[nodiscard]] Result<Pitches> pitches_from_table(const TextTable& table,
                                                 const TableColumns& columns);

}  // namespace moundwork::relate
