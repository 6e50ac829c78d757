// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/import_columns.h"

#include <QRegularExpression>
#include <algorithm>
#include <array>
#include <utility>

namespace moundwork::desk {
namespace {

/// A heading taken apart: "Height (cm)", "height_cm" and "Height in cm" are height and cm.
struct Heading {
  QString name;  ///< lower case, letters alone
  QString unit;  ///< as units.h spells it; empty where none is named
};

Heading heading_of(const std::string& text) {
  static const QRegularExpression words(QStringLiteral("[^\\p{L}]+"));
  QStringList parts = QString::fromStdString(text).toLower().split(words, Qt::SkipEmptyParts);
  static const std::array<std::pair<QString, QString>, 15> units{
      {{QStringLiteral("m"), QStringLiteral("m")},
       {QStringLiteral("metres"), QStringLiteral("m")},
       {QStringLiteral("meters"), QStringLiteral("m")},
       {QStringLiteral("cm"), QStringLiteral("cm")},
       {QStringLiteral("mm"), QStringLiteral("mm")},
       {QStringLiteral("in"), QStringLiteral("in")},
       {QStringLiteral("inch"), QStringLiteral("in")},
       {QStringLiteral("inches"), QStringLiteral("in")},
       {QStringLiteral("ft"), QStringLiteral("ft")},
       {QStringLiteral("feet"), QStringLiteral("ft")},
       {QStringLiteral("kg"), QStringLiteral("kg")},
       {QStringLiteral("kilograms"), QStringLiteral("kg")},
       {QStringLiteral("lb"), QStringLiteral("lb")},
       {QStringLiteral("lbs"), QStringLiteral("lb")},
       {QStringLiteral("pounds"), QStringLiteral("lb")}}};
  Heading heading;
  if (parts.size() > 1)
    for (const auto& [spelt, unit] : units)
      if (parts.last() == spelt) {
        heading.unit = unit;
        parts.removeLast();
        break;
      }
  if (!heading.unit.isEmpty() && parts.size() > 1 && parts.last() == QStringLiteral("in"))
    parts.removeLast();
  heading.name = parts.join(QString());
  return heading;
}

std::optional<RosterColumn> column_of(const QString& name) {
  for (int c = 0; c < list_column_count; ++c)
    if (const auto column = static_cast<RosterColumn>(c); headings_of(column).contains(name))
      return column;
  return std::nullopt;
}

}  // namespace

QStringList units_of(RosterColumn column) {
  const ColumnEntry& entry = entry_of(column);
  if (entry.kind != CellKind::number) return {};
  if (entry.number.dimension == Dimension::mass)
    return {QStringLiteral("kg"), QStringLiteral("lb")};
  return {QStringLiteral("m"), QStringLiteral("cm"), QStringLiteral("mm"), QStringLiteral("in"),
          QStringLiteral("ft")};
}

QStringList headings_of(RosterColumn column) {
  return QString::fromUtf8(entry_of(column).headings).split(u' ', Qt::SkipEmptyParts);
}

std::vector<ImportColumn> columns_from(const std::vector<std::string>& headings) {
  std::vector<ImportColumn> columns;
  for (const std::string& text : headings) {
    const Heading heading = heading_of(text);
    ImportColumn column{QString::fromStdString(text), column_of(heading.name), heading.unit};
    if (std::any_of(columns.begin(), columns.end(), [&](const ImportColumn& other) {
          return other.field && other.field == column.field;
        }))
      column.field.reset();
    columns.push_back(std::move(column));
  }
  return columns;
}

}  // namespace moundwork::desk
