// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/import_columns.h"

#include <QRegularExpression>
#include <algorithm>
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

const std::array<std::pair<Field, QStringList>, field_count>& spellings() {
  static const std::array<std::pair<Field, QStringList>, field_count> list{
      {{Field::id,
        {QStringLiteral("id"), QStringLiteral("athleteid"), QStringLiteral("code"),
         QStringLiteral("athlete"), QStringLiteral("number"), QStringLiteral("no")}},
       {Field::name,
        {QStringLiteral("name"), QStringLiteral("fullname"), QStringLiteral("athletename"),
         QStringLiteral("player"), QStringLiteral("pitcher")}},
       {Field::first_name,
        {QStringLiteral("firstname"), QStringLiteral("first"), QStringLiteral("givenname")}},
       {Field::last_name,
        {QStringLiteral("lastname"), QStringLiteral("last"), QStringLiteral("familyname"),
         QStringLiteral("surname")}},
       {Field::born,
        {QStringLiteral("born"), QStringLiteral("dateofbirth"), QStringLiteral("birthdate"),
         QStringLiteral("birthday"), QStringLiteral("dob")}},
       {Field::hand,
        {QStringLiteral("throws"), QStringLiteral("hand"), QStringLiteral("throwinghand"),
         QStringLiteral("arm"), QStringLiteral("throwingarm"), QStringLiteral("handedness")}},
       {Field::height, {QStringLiteral("height"), QStringLiteral("bodyheight")}},
       {Field::mass,
        {QStringLiteral("mass"), QStringLiteral("weight"), QStringLiteral("bodymass"),
         QStringLiteral("bodyweight")}},
       {Field::foot_length,
        {QStringLiteral("footlength"), QStringLiteral("foot"), QStringLiteral("footsize")}},
       {Field::consent,
        {QStringLiteral("consent"), QStringLiteral("agreed"), QStringLiteral("assent")}},
       {Field::guardian_consent,
        {QStringLiteral("guardianconsent"), QStringLiteral("guardian"),
         QStringLiteral("guardiansconsent"), QStringLiteral("parent"), QStringLiteral("parents"),
         QStringLiteral("parentconsent"), QStringLiteral("parentalconsent")}},
       {Field::notes,
        {QStringLiteral("notes"), QStringLiteral("note"), QStringLiteral("remarks"),
         QStringLiteral("comment"), QStringLiteral("comments")}}}};
  return list;
}

std::optional<Field> field_of(const QString& name) {
  for (const auto& [field, names] : spellings())
    if (names.contains(name)) return field;
  return std::nullopt;
}

}  // namespace

QString title_of(Field field) {
  switch (field) {
    case Field::id:
      return QStringLiteral("Id");
    case Field::name:
      return QStringLiteral("Name");
    case Field::first_name:
      return QStringLiteral("First name");
    case Field::last_name:
      return QStringLiteral("Last name");
    case Field::born:
      return QStringLiteral("Born");
    case Field::hand:
      return QStringLiteral("Throws");
    case Field::height:
      return QStringLiteral("Height");
    case Field::mass:
      return QStringLiteral("Mass");
    case Field::foot_length:
      return QStringLiteral("Foot length");
    case Field::consent:
      return QStringLiteral("Consent");
    case Field::guardian_consent:
      return QStringLiteral("Guardian");
    case Field::notes:
      return QStringLiteral("Notes");
  }
  return {};
}

QStringList units_of(Field field) {
  if (field == Field::mass) return {QStringLiteral("kg"), QStringLiteral("lb")};
  if (field == Field::height || field == Field::foot_length)
    return {QStringLiteral("m"), QStringLiteral("cm"), QStringLiteral("mm"), QStringLiteral("in"),
            QStringLiteral("ft")};
  return {};
}

QStringList headings_of(Field field) {
  for (const auto& [known, names] : spellings())
    if (known == field) return names;
  return {};
}

std::vector<ImportColumn> columns_from(const std::vector<std::string>& headings) {
  std::vector<ImportColumn> columns;
  for (const std::string& text : headings) {
    const Heading heading = heading_of(text);
    ImportColumn column{QString::fromStdString(text), field_of(heading.name), heading.unit};
    if (std::any_of(columns.begin(), columns.end(), [&](const ImportColumn& other) {
          return other.field && other.field == column.field;
        }))
      column.field.reset();
    columns.push_back(std::move(column));
  }
  return columns;
}

}  // namespace moundwork::desk
