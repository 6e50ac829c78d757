// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_columns.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <type_traits>

#include "core/base/sentence.h"

namespace moundwork::desk {
namespace {

namespace limits = intake::limits;

// In the order of RosterColumn.
constexpr std::array<ColumnEntry, list_column_count> entries{
    {{RosterColumn::turn, "Turn", "Whose throws are recorded next", CellKind::not_typed, {}, ""},
     {RosterColumn::id, "Id", "Identity in files: short, one of their own", CellKind::id,
      &RosterAthlete::id, "id athleteid code athlete number no"},
     {RosterColumn::name, "Name", "Name, as you call them", CellKind::text, &RosterAthlete::name,
      "name fullname athletename player pitcher"},
     {RosterColumn::born, "Born", "Date of birth, YYYY-MM-DD", CellKind::day_past,
      &RosterAthlete::born, "born dateofbirth birthdate birthday dob"},
     {RosterColumn::age,
      "Age",
      "Whole years today, from the date of birth",
      CellKind::not_typed,
      {},
      ""},
     {RosterColumn::hand, "Throws", "Throwing hand: right or left", CellKind::hand,
      &RosterAthlete::throws, "throws hand throwinghand arm throwingarm handedness"},
     {RosterColumn::height,
      "Height",
      "Metres, or with a unit: 188 cm, 6 ft 2 in",
      CellKind::number,
      &RosterAthlete::height,
      "height bodyheight",
      {Dimension::length, "m", 1.0, 2, limits::height}},
     {RosterColumn::mass,
      "Mass",
      "Kilograms, or with a unit: 181 lb. A weigh-in fills it in",
      CellKind::number,
      &RosterAthlete::mass,
      "mass weight bodymass bodyweight",
      {Dimension::mass, "kg", 1.0, 1, limits::mass}},
     {RosterColumn::foot_length,
      "Foot",
      "Length of the bare foot in centimetres, or with a unit",
      CellKind::number,
      &RosterAthlete::foot_length,
      "footlength foot footsize",
      {Dimension::length, "cm", 0.01, 1, limits::foot_length}},
     {RosterColumn::consent, "Consent", "Day on which the athlete agreed; yes means today",
      CellKind::consent, &RosterAthlete::consent, "consent agreed assent"},
     {RosterColumn::guardian_consent, "Guardian",
      "Day on which a guardian agreed, for athletes under 18", CellKind::consent,
      &RosterAthlete::guardian_consent,
      "guardianconsent guardian guardiansconsent parent parents parentconsent parentalconsent"},
     {RosterColumn::notes, "Notes", "Anything worth knowing", CellKind::text, &RosterAthlete::notes,
      "notes note remarks comment comments"},
     {RosterColumn::first_name,
      "First name",
      "",
      CellKind::not_typed,
      {},
      "firstname first givenname"},
     {RosterColumn::last_name,
      "Last name",
      "",
      CellKind::not_typed,
      {},
      "lastname last familyname surname"}}};

consteval bool in_order() {
  for (std::size_t i = 0; i < entries.size(); ++i)
    if (static_cast<std::size_t>(entries[i].column) != i) return false;
  return true;
}
static_assert(in_order());

QString cell_text(const std::string& text, const ColumnEntry&) {
  return QString::fromStdString(text);
}
QString cell_text(double number, const ColumnEntry& entry) {
  return std::isfinite(number)
             ? QString::number(number / entry.number.in_si, 'f', entry.number.decimals)
             : QString();
}
QString cell_text(session::Hand hand, const ColumnEntry&) {
  return hand == session::Hand::left ? QStringLiteral("left") : QStringLiteral("right");
}

/// A cell that is typed into a column.
struct Typed {
  const ColumnEntry& entry;
  const QString& text;  ///< trimmed
  const QString& unit;  ///< of a bare number
  const std::string& day;
  DayOrder order;
  const std::string& where;
};

Result<std::string> past_day(const Typed& typed) {
  if (typed.text.isEmpty()) return std::string();
  auto found = typed_day(typed.text.toStdString(), typed.where, typed.order);
  if (found && *found > typed.day)
    return fail(typed.where, fmt::format("'{}' is still to come", *found), "check the year");
  return found;
}

Result<std::string> consent(const Typed& typed) {
  const QString plain = typed.text.toLower();
  if (plain.isEmpty() || plain == QStringLiteral("no") || plain == QStringLiteral("n"))
    return std::string();
  if (plain == QStringLiteral("yes") || plain == QStringLiteral("y") ||
      plain == QStringLiteral("given"))
    return typed.day;
  auto given = typed_day(typed.text.toStdString(), typed.where, typed.order);
  if (!given && !has_slashes(typed.text.toStdString()))
    given.error().advice = "write yes for today, or the day as YYYY-MM-DD";
  return given;
}

Result<std::string> read(const Typed& typed, const std::string&) {
  if (typed.entry.kind == CellKind::day_past) return past_day(typed);
  if (typed.entry.kind == CellKind::consent) return consent(typed);
  if (typed.entry.kind == CellKind::id && typed.text.isEmpty())
    return fail(typed.where, "is empty", "give every athlete an id of their own, such as A07");
  return typed.text.toStdString();
}

Result<double> read(const Typed& typed, double) {
  if (typed.text.isEmpty()) return std::numeric_limits<double>::quiet_NaN();
  const ColumnNumber& number = typed.entry.number;
  auto found = typed_quantity(typed.text.toStdString(), number.dimension, typed.unit.toStdString(),
                              typed.where);
  if (found && !number.limits.holds(*found))
    return fail(typed.where,
                fmt::format("{:.4g} {} is not a pitcher's", *found / number.in_si, number.unit),
                "add the unit that was meant, such as cm, in, kg or lb");
  return found;
}

Result<session::Hand> read(const Typed& typed, session::Hand) {
  const QString first = typed.text.toLower().left(1);
  if (first != QStringLiteral("r") && first != QStringLiteral("l"))
    return fail(typed.where, "'" + typed.text.toStdString() + "' is no hand",
                "write right or left");
  return first == QStringLiteral("l") ? session::Hand::left : session::Hand::right;
}

}  // namespace

const ColumnEntry& entry_of(RosterColumn column) {
  return entries.at(static_cast<std::size_t>(column));
}

QString column_title(RosterColumn column) {
  const ColumnEntry& entry = entry_of(column);
  const QString title = QString::fromUtf8(entry.title);
  return entry.kind == CellKind::number
             ? QStringLiteral("%1 (%2)").arg(title, QString::fromUtf8(entry.number.unit))
             : title;
}

bool can_edit(RosterColumn column) { return entry_of(column).kind != CellKind::not_typed; }

QString cell_text(const RosterAthlete& athlete, RosterColumn column, const std::string& day) {
  const ColumnEntry& entry = entry_of(column);
  if (column == RosterColumn::age) {
    const auto age = age_on(athlete, day);
    return age ? QString::number(*age) : QString();
  }
  return std::visit(
      [&](auto member) -> QString {
        if constexpr (std::is_same_v<decltype(member), std::monostate>)
          return {};
        else
          return cell_text(athlete.*member, entry);
      },
      entry.member);
}

Result<RosterAthlete> with_cell(RosterAthlete athlete, RosterColumn column, const QString& text,
                                const std::string& day, DayOrder order) {
  const ColumnEntry& entry = entry_of(column);
  const QString unit =
      entry.kind == CellKind::number ? QString::fromUtf8(entry.number.unit) : QString();
  return with_cell_in(std::move(athlete), column, text, unit, day, order);
}

Result<RosterAthlete> with_cell_in(RosterAthlete athlete, RosterColumn column, const QString& text,
                                   const QString& unit, const std::string& day, DayOrder order) {
  const ColumnEntry& entry = entry_of(column);
  const QString plain = text.trimmed();
  const std::string where = athlete.id + ", " + column_title(column).toLower().toStdString();
  const Typed typed{entry, plain, unit, day, order, where};
  return std::visit(
      [&](auto member) -> Result<RosterAthlete> {
        if constexpr (std::is_same_v<decltype(member), std::monostate>) {
          return fail(where, "is not typed", "it follows from the rest");
        } else {
          auto value = read(typed, athlete.*member);
          if (!value) return tl::make_unexpected(value.error());
          athlete.*member = std::move(*value);
          return std::move(athlete);
        }
      },
      entry.member);
}

QString age_caution(const RosterAthlete& athlete, const std::string& day,
                    const safety::PitchCountTable& table) {
  const auto age = age_on(athlete, day);
  if (!age)
    return QString::fromStdString(
        sentence("Date of birth not noted: pitch counts by age cannot be looked up."));
  const safety::AgeBand* band = safety::band_of(table, *age);
  if (band == nullptr)
    return QString::fromStdString(
        *age >= 18
            ? sentence("Age {age}: no pitch count by age applies.", "age"_is(*age))
            : sentence("Age {age}: the table names no limit, so throw little.", "age"_is(*age)));
  return QString::fromStdString(
      sentence("Age {age}, group {from} to {to}: at most {most} pitches a day ({source}, {dated}).",
               "age"_is(*age), "from"_is(band->from), "to"_is(band->to),
               "most"_is(band->most_a_day), "source"_is(table.source), "dated"_is(table.dated)));
}

}  // namespace moundwork::desk
