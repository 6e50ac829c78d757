// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_columns.h"

#include <fmt/format.h>

#include <cmath>

#include "app/desk/prepare/typed_quantity.h"

namespace moundwork::desk {
namespace {

QString from(const std::string& text) { return QString::fromStdString(text); }

QString number_text(double number, int digits) {
  return std::isfinite(number) ? QString::number(number, 'f', digits) : QString();
}

Result<void> check_range(double value, double least, double most, const std::string& where,
                         const char* what, const char* unit) {
  if (value >= least && value <= most) return {};
  return fail(where, fmt::format("{:.4g} {} is no {} of a pitcher", value, unit, what),
              "add the unit that was meant, such as cm, in, kg or lb");
}

/// A cell that may be emptied; a bare number is taken in `unit`.
template <class Check>
Result<double> number_cell(const QString& text, Dimension dimension, const char* unit,
                           const std::string& where, Check check) {
  if (text.isEmpty()) return std::numeric_limits<double>::quiet_NaN();
  const auto number = typed_quantity(text.toStdString(), dimension, unit, where);
  if (!number) return tl::make_unexpected(number.error());
  if (const auto fits = check(*number, where); !fits) return tl::make_unexpected(fits.error());
  return *number;
}

Result<std::string> consent_cell(const QString& text, const std::string& day,
                                 const std::string& where, DayOrder order) {
  const QString plain = text.toLower();
  if (plain.isEmpty() || plain == QStringLiteral("no") || plain == QStringLiteral("n"))
    return std::string();
  if (plain == QStringLiteral("yes") || plain == QStringLiteral("y") ||
      plain == QStringLiteral("given"))
    return day;
  auto given = typed_day(text.toStdString(), where, order);
  if (!given && !has_slashes(text.toStdString()))
    given.error().advice = "write yes for today, or the day as YYYY-MM-DD";
  return given;
}

}  // namespace

QString column_title(RosterColumn column) {
  switch (column) {
    case RosterColumn::turn:
      return QStringLiteral("Turn");
    case RosterColumn::id:
      return QStringLiteral("Id");
    case RosterColumn::name:
      return QStringLiteral("Name");
    case RosterColumn::born:
      return QStringLiteral("Born");
    case RosterColumn::age:
      return QStringLiteral("Age");
    case RosterColumn::hand:
      return QStringLiteral("Throws");
    case RosterColumn::height:
      return QStringLiteral("Height (m)");
    case RosterColumn::mass:
      return QStringLiteral("Mass (kg)");
    case RosterColumn::foot_length:
      return QStringLiteral("Foot (cm)");
    case RosterColumn::consent:
      return QStringLiteral("Consent");
    case RosterColumn::guardian_consent:
      return QStringLiteral("Guardian");
    case RosterColumn::notes:
      return QStringLiteral("Notes");
  }
  return {};
}

QString column_help(RosterColumn column) {
  switch (column) {
    case RosterColumn::turn:
      return QStringLiteral("Whose throws are recorded next");
    case RosterColumn::id:
      return QStringLiteral("Identity in files: short, one of their own");
    case RosterColumn::name:
      return QStringLiteral("Name, as you call them");
    case RosterColumn::born:
      return QStringLiteral("Date of birth, YYYY-MM-DD");
    case RosterColumn::age:
      return QStringLiteral("Whole years today, from the date of birth");
    case RosterColumn::hand:
      return QStringLiteral("Throwing hand: right or left");
    case RosterColumn::height:
      return QStringLiteral("Metres, or with a unit: 188 cm, 6 ft 2 in");
    case RosterColumn::mass:
      return QStringLiteral("Kilograms, or with a unit: 181 lb. A weigh-in fills it in");
    case RosterColumn::foot_length:
      return QStringLiteral("Length of the bare foot in centimetres, or with a unit");
    case RosterColumn::consent:
      return QStringLiteral("Day on which the athlete agreed; yes means today");
    case RosterColumn::guardian_consent:
      return QStringLiteral("Day on which a guardian agreed, for athletes under 18");
    case RosterColumn::notes:
      return QStringLiteral("Anything worth knowing");
  }
  return {};
}

bool can_edit(RosterColumn column) {
  return column != RosterColumn::turn && column != RosterColumn::age;
}

QString cell_text(const RosterAthlete& athlete, RosterColumn column, const std::string& day) {
  switch (column) {
    case RosterColumn::turn:
      return {};
    case RosterColumn::id:
      return from(athlete.id);
    case RosterColumn::name:
      return from(athlete.name);
    case RosterColumn::born:
      return from(athlete.born);
    case RosterColumn::age: {
      const auto age = age_on(athlete, day);
      return age ? QString::number(*age) : QString();
    }
    case RosterColumn::hand:
      return athlete.throws == session::Hand::left ? QStringLiteral("left")
                                                   : QStringLiteral("right");
    case RosterColumn::height:
      return number_text(athlete.height, 2);
    case RosterColumn::mass:
      return number_text(athlete.mass, 1);
    case RosterColumn::foot_length:
      return number_text(100.0 * athlete.foot_length, 1);
    case RosterColumn::consent:
      return from(athlete.consent);
    case RosterColumn::guardian_consent:
      return from(athlete.guardian_consent);
    case RosterColumn::notes:
      return from(athlete.notes);
  }
  return {};
}

Result<RosterAthlete> with_cell(RosterAthlete athlete, RosterColumn column, const QString& text,
                                const std::string& day, DayOrder order) {
  const QString plain = text.trimmed();
  const std::string where = athlete.id + ", " + column_title(column).toLower().toStdString();
  const auto take = [&](auto& member, auto found) -> Result<RosterAthlete> {
    if (!found) return tl::make_unexpected(found.error());
    member = *found;
    return athlete;
  };
  switch (column) {
    case RosterColumn::turn:
    case RosterColumn::age:
      return fail(where, "is not typed", "it follows from the rest");
    case RosterColumn::id:
      if (plain.isEmpty())
        return fail(where, "is empty", "give every athlete an id of their own, such as A07");
      athlete.id = plain.toStdString();
      return athlete;
    case RosterColumn::name:
      athlete.name = plain.toStdString();
      return athlete;
    case RosterColumn::born: {
      if (plain.isEmpty()) return take(athlete.born, Result<std::string>(std::string()));
      auto born = typed_day(plain.toStdString(), where, order);
      if (born && *born > day)
        born = fail(where, fmt::format("'{}' is still to come", *born), "check the year");
      return take(athlete.born, born);
    }
    case RosterColumn::hand: {
      const QString first = plain.toLower().left(1);
      if (first != QStringLiteral("r") && first != QStringLiteral("l"))
        return fail(where, "'" + plain.toStdString() + "' is no hand", "write right or left");
      athlete.throws = first == QStringLiteral("l") ? session::Hand::left : session::Hand::right;
      return athlete;
    }
    case RosterColumn::height:
      return take(athlete.height, number_cell(plain, Dimension::length, "m", where, check_height));
    case RosterColumn::mass:
      return take(athlete.mass, number_cell(plain, Dimension::mass, "kg", where, check_mass));
    case RosterColumn::foot_length:
      return take(athlete.foot_length,
                  number_cell(plain, Dimension::length, "cm", where, check_foot_length));
    case RosterColumn::consent:
      return take(athlete.consent, consent_cell(plain, day, where, order));
    case RosterColumn::guardian_consent:
      return take(athlete.guardian_consent, consent_cell(plain, day, where, order));
    case RosterColumn::notes:
      athlete.notes = plain.toStdString();
      return athlete;
  }
  return athlete;
}

QString age_caution(const RosterAthlete& athlete, const std::string& day,
                    const safety::PitchCountTable& table) {
  const auto age = age_on(athlete, day);
  if (!age)
    return QStringLiteral("Date of birth not noted: pitch counts by age cannot be looked up.");
  const safety::AgeBand* band = safety::band_of(table, *age);
  if (band == nullptr)
    return *age >= 18
               ? QStringLiteral("Age %1: no pitch count by age applies.").arg(*age)
               : QStringLiteral("Age %1: the table names no limit, so throw little.").arg(*age);
  return QStringLiteral("Age %1, group %2 to %3: at most %4 pitches a day (%5, %6).")
      .arg(*age)
      .arg(band->from)
      .arg(band->to)
      .arg(band->most_a_day)
      .arg(from(table.source), from(table.dated));
}

// Wide enough for every pitcher from the smallest child on; narrow enough that centimetres taken
// for metres, or pounds for kilograms of a child, stand out.
Result<void> check_height(double height, const std::string& where) {
  return check_range(height, 0.9, 2.5, where, "height", "m");
}
Result<void> check_mass(double mass, const std::string& where) {
  return check_range(mass, 15.0, 250.0, where, "mass", "kg");
}
Result<void> check_foot_length(double length, const std::string& where) {
  return check_range(length, 0.12, 0.4, where, "foot length", "m");
}

}  // namespace moundwork::desk
