// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QStringList>
#include <array>
#include <optional>
#include <string>
#include <vector>

namespace moundwork::desk {

/// What a column of a list of athletes can hold.
enum class Field {
  id,
  name,
  first_name,
  last_name,
  born,
  hand,
  height,
  mass,
  foot_length,
  consent,
  guardian_consent,
  notes
};
inline constexpr int field_count = 12;
[[nodiscard]] QString title_of(Field field);
/// Units that a column of it may be in, as core/base/units.h spells them; none of a column of
/// words.
[[nodiscard]] QStringList units_of(Field field);
/// The headings by which it is known, for people.
[[nodiscard]] QStringList headings_of(Field field);

/// How a column of the file is read.
struct ImportColumn {
  QString heading;             ///< as the file has it
  std::optional<Field> field;  ///< nothing: not used
  QString unit;                ///< for numbers without one in their cell; empty where none is known
};

/// Columns known by their headings: "Height (cm)", "height_cm" and "Height in cm" are height in cm.
/// Of two columns of one field the first is used.
[[nodiscard]] std::vector<ImportColumn> columns_from(const std::vector<std::string>& headings);

}  // namespace moundwork::desk
