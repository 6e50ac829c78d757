// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QStringList>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/prepare/roster_columns.h"

namespace moundwork::desk {

/// Units that a column of a list may be in, as core/base/units.h spells them; none of a column of
/// words.
[[nodiscard]] QStringList units_of(RosterColumn column);
/// The headings by which it is known, for people; none of what no list can hold.
[[nodiscard]] QStringList headings_of(RosterColumn column);

/// How a column of the file is read.
struct ImportColumn {
  QString heading;                    ///< as the file has it
  std::optional<RosterColumn> field;  ///< nothing: not used
  QString unit;  ///< for numbers without one in their cell; empty where none is known
};

/// Columns known by their headings: "Height (cm)", "height_cm" and "Height in cm" are height in cm.
/// Of two columns of one field the first is used.
[[nodiscard]] std::vector<ImportColumn> columns_from(const std::vector<std::string>& headings);

}  // namespace moundwork::desk
