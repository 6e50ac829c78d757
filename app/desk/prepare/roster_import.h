// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QStringList>
#include <filesystem>
#include <optional>
#include <vector>

#include "app/desk/state/roster.h"
#include "core/base/result.h"

namespace moundwork::desk {

/// One line of a file that is to come into the roster.
struct ImportLine {
  int line = 0;                          ///< in the file, from 1
  std::optional<RosterAthlete> athlete;  ///< as the roster would have it; nothing when refused
  bool known = false;                    ///< the id stands in the roster already
  QString words;                         ///< "new", what changes, or why the line is refused
};

struct RosterImport {
  std::vector<ImportLine> lines;
  QStringList columns;  ///< how each used column was read: "Height (cm) → height in cm"
  QStringList ignored;  ///< headings that nothing was read from
  [[nodiscard]] int coming() const;
  [[nodiscard]] int refused() const;
};

/// Reads a delimited text file (comma, semicolon, tab or bar; UTF-8, UTF-16 or Latin-1) against the
/// roster. Columns are known by their headings; numbers take the unit of their cell, else of the
/// heading. Athletes already in the roster keep what the file leaves empty. Fails when nothing of
/// the file can be used; a line that cannot is refused alone.
[[nodiscard]] Result<RosterImport> read_roster_import(const std::filesystem::path& path,
                                                      const std::vector<RosterAthlete>& roster,
                                                      const std::string& day);

/// The roster with the lines that are not refused.
[[nodiscard]] std::vector<RosterAthlete> merged(std::vector<RosterAthlete> roster,
                                                const RosterImport& import);

}  // namespace moundwork::desk
