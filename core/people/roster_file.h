// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/people/roster_athlete.h"

namespace moundwork::people {

/// roster.csv as it stands: every cell, also of columns that this program does not know, so that a
/// change of one row leaves the others to the letter. A delimited text with a header line that any
/// spreadsheet opens.
struct RosterFile {
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;  ///< as wide as the columns
  std::vector<RosterAthlete> athletes;         ///< of the rows, in their order
  char separator = ',';
  bool mark = false;           ///< begins with the mark by which some spreadsheets know UTF-8
  bool decimal_comma = false;  ///< writes numbers so; not with commas between the cells
};

/// Of a file that is not there: no athletes. Fails in a sentence on rows that cannot be read, an id
/// that stands twice, a row without one.
[[nodiscard]] Result<RosterFile> read_roster_file(const std::filesystem::path& path);
[[nodiscard]] std::string text_of(const RosterFile& file);

/// Changes the row's cells where the athlete differs from what they say, and no other.
void put_athlete(RosterFile& file, std::size_t row, const RosterAthlete& athlete);
void insert_athlete(RosterFile& file, std::size_t row, const RosterAthlete& athlete);
void erase_athlete(RosterFile& file, std::size_t row);

/// The lab's athletes, in the order of the file, which must be there.
[[nodiscard]] Result<std::vector<RosterAthlete>> read_roster(const std::filesystem::path& path);

}  // namespace moundwork::people
