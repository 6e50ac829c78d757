// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QStringList>
#include <filesystem>
#include <optional>
#include <vector>

#include "app/desk/prepare/import_columns.h"
#include "app/desk/prepare/typed_quantity.h"
#include "app/desk/state/roster.h"
#include "core/base/result.h"
#include "core/people/roster_change.h"

namespace moundwork::desk {

/// One line of a file that is to come into the roster.
struct ImportLine {
  int line = 0;                          ///< in the file, from 1
  std::optional<RosterAthlete> athlete;  ///< as the roster would have it; nothing when refused
  bool known = false;                    ///< the id stands in the roster already
  bool any_id = false;                   ///< the file gives none: the id is the next free one
  QString words;                         ///< "new", what changes, or why the line is refused
};

/// What somebody has said of a file.
struct ImportChoices {
  std::vector<ImportColumn> columns;  ///< one for each of the file's; empty: by their headings
  DayOrder order = DayOrder::unsettled;
  int next_id = 1;  ///< number of the next new athlete
};

struct RosterImport {
  std::vector<ImportLine> lines;
  std::vector<ImportColumn> columns;  ///< of the file, in its order
  DayOrder order = DayOrder::unsettled;
  bool has_slashes = false;  ///< days such as 7/8/2003, whose order must be settled
  QString problem;           ///< why no line can be read as the columns are; else empty
  [[nodiscard]] int coming() const;
  [[nodiscard]] int refused() const;
  [[nodiscard]] QStringList ignored() const;  ///< headings that nothing is read from
};

/// Reads a delimited text file (comma, semicolon, tab or bar; UTF-8, UTF-16 or Latin-1) against the
/// roster. Columns are known by their headings, unless somebody has said what they hold; numbers
/// take the unit of their cell, else of the column. Days with slashes are read in the order that
/// one of them settles for the file, or that was chosen. Athletes already in the roster keep what
/// the file leaves empty. Fails when the file cannot be read; a line that cannot is refused alone.
[[nodiscard]] Result<RosterImport> read_roster_import(const std::filesystem::path& path,
                                                      const std::vector<RosterAthlete>& roster,
                                                      const std::string& day,
                                                      const ImportChoices& choices = {});

/// The lines that are not refused, as changes of the roster they were read against.
[[nodiscard]] std::vector<people::RowChange> changes_of(const RosterImport& import,
                                                        const std::vector<RosterAthlete>& roster);

}  // namespace moundwork::desk
