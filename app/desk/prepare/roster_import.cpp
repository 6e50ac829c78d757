// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_import.h"

#include <fmt/format.h>

#include <QFile>
#include <QRegularExpression>
#include <QStringDecoder>
#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <span>
#include <sstream>

#include "app/desk/prepare/roster_columns.h"
#include "app/desk/prepare/typed_quantity.h"
#include "core/table/delimited.h"

namespace moundwork::desk {
namespace {

// A roster is typed by hand: this is some five thousand athletes.
constexpr qint64 largest_file = 1 << 19;

QString from(const std::string& text) { return QString::fromStdString(text); }

Result<std::string> read_text(const std::filesystem::path& path) {
  QFile file(QString::fromStdString(path.string()));
  if (!file.open(QIODevice::ReadOnly))
    return fail(path.string(), "cannot be read (" + file.errorString().toStdString() + ")");
  if (file.size() > largest_file) return fail(path.string(), "is too large for a list of athletes");
  const QByteArray bytes = file.readAll();
  const auto marked = QStringConverter::encodingForData(bytes);
  QStringDecoder decoder(marked.value_or(QStringConverter::Utf8));
  QString text = decoder(bytes);
  // Spreadsheets of some systems still save the old one-byte alphabet.
  if (!marked && decoder.hasError()) text = QString::fromLatin1(bytes);
  return text.toStdString();
}

/// The separator that the heading holds most of.
char separator_of(const std::string& text) {
  const std::string heading = text.substr(0, text.find('\n'));
  char best = ',';
  std::ptrdiff_t most = 0;
  for (const char candidate : {'\t', ';', ',', '|'})
    if (const auto count = std::count(heading.begin(), heading.end(), candidate); count > most) {
      most = count;
      best = candidate;
    }
  return best;
}

/// A heading taken apart: "Height (cm)", "height_cm" and "Height in cm" are height and cm.
struct Heading {
  QString name;  ///< lower case, letters alone
  QString unit;  ///< as units.h spells it; empty where none is named
};

Heading heading_of(const std::string& text) {
  static const QRegularExpression words(QStringLiteral("[^\\p{L}]+"));
  QStringList parts = from(text).toLower().split(words, Qt::SkipEmptyParts);
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

std::optional<Field> field_of(const QString& name) {
  static const std::array<std::pair<Field, QStringList>, 12> spellings{
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
         QStringLiteral("guardiansconsent"), QStringLiteral("parentconsent"),
         QStringLiteral("parentalconsent")}},
       {Field::notes,
        {QStringLiteral("notes"), QStringLiteral("note"), QStringLiteral("remarks"),
         QStringLiteral("comment"), QStringLiteral("comments")}}}};
  for (const auto& [field, names] : spellings)
    if (names.contains(name)) return field;
  return std::nullopt;
}

/// Where each field stands in the file.
struct Layout {
  std::array<int, 12> column;
  std::array<QString, 12> unit;
  Layout() { column.fill(-1); }
  [[nodiscard]] bool has(Field field) const { return column[static_cast<std::size_t>(field)] >= 0; }
  [[nodiscard]] QString cell(std::span<const std::string> row, Field field) const {
    const int at = column[static_cast<std::size_t>(field)];
    return at < 0 ? QString() : from(row[static_cast<std::size_t>(at)]).trimmed();
  }
  [[nodiscard]] QString unit_of(Field field) const { return unit[static_cast<std::size_t>(field)]; }
};

Layout lay_out(const std::vector<std::string>& columns, RosterImport& import) {
  Layout layout;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const Heading heading = heading_of(columns[c]);
    const auto field = field_of(heading.name);
    if (!field || layout.has(*field)) {
      import.ignored << from(columns[c]);
      continue;
    }
    layout.column[static_cast<std::size_t>(*field)] = static_cast<int>(c);
    layout.unit[static_cast<std::size_t>(*field)] = heading.unit;
    import.columns << from(columns[c]);
  }
  return layout;
}

QString name_of(std::span<const std::string> row, const Layout& layout) {
  if (layout.has(Field::name)) return layout.cell(row, Field::name);
  return (layout.cell(row, Field::first_name) + u' ' + layout.cell(row, Field::last_name))
      .simplified();
}

/// Who of the roster a line is about: by id, or by name where the file has no ids.
const RosterAthlete* known_as(const std::vector<RosterAthlete>& roster, const std::string& id,
                              const std::string& name, bool ids) {
  const auto found = std::find_if(roster.begin(), roster.end(), [&](const RosterAthlete& a) {
    return ids ? a.id == id : a.name == name;
  });
  return found == roster.end() ? nullptr : &*found;
}

/// A number with the unit of its cell, else of its heading.
Result<double> number(const QString& cell, Dimension dimension, const QString& unit,
                      const char* heading) {
  auto found = typed_quantity(cell.toStdString(), dimension, unit.toStdString(), heading);
  if (!found)
    found.error().advice = fmt::format("name its unit in the heading, such as {} ({})", heading,
                                       dimension == Dimension::mass ? "kg" : "cm");
  return found;
}

Result<RosterAthlete> athlete_of(std::span<const std::string> row, const Layout& layout,
                                 RosterAthlete athlete, const std::string& day) {
  struct Typed {
    Field field;
    RosterColumn column;
  };
  if (const QString name = name_of(row, layout); !name.isEmpty()) athlete.name = name.toStdString();
  for (const Typed& typed : {Typed{Field::born, RosterColumn::born},
                             {Field::hand, RosterColumn::hand},
                             {Field::consent, RosterColumn::consent},
                             {Field::guardian_consent, RosterColumn::guardian_consent},
                             {Field::notes, RosterColumn::notes}}) {
    const QString cell = layout.cell(row, typed.field);
    if (cell.isEmpty()) continue;
    auto taken = with_cell(athlete, typed.column, cell, day);
    if (!taken) return taken;
    athlete = std::move(*taken);
  }
  struct Number {
    Field field;
    Dimension dimension;
    const char* heading;
    double RosterAthlete::*member;
    Result<void> (*check)(double, const std::string&);
  };
  for (const Number& n :
       {Number{Field::height, Dimension::length, "Height", &RosterAthlete::height, check_height},
        {Field::mass, Dimension::mass, "Mass", &RosterAthlete::mass, check_mass},
        {Field::foot_length, Dimension::length, "Foot length", &RosterAthlete::foot_length,
         check_foot_length}}) {
    const QString cell = layout.cell(row, n.field);
    if (cell.isEmpty()) continue;
    const auto found = number(cell, n.dimension, layout.unit_of(n.field), n.heading);
    if (!found) return tl::make_unexpected(found.error());
    if (const auto fits = n.check(*found, n.heading); !fits)
      return tl::make_unexpected(fits.error());
    athlete.*n.member = *found;
  }
  return athlete;
}

/// What a line changes of an athlete who is there already.
QString change_words(const RosterAthlete& before, const RosterAthlete& after,
                     const std::string& day) {
  QStringList changed;
  for (int c = 0; c < roster_column_count; ++c) {
    const auto column = static_cast<RosterColumn>(c);
    if (can_edit(column) && cell_text(before, column, day) != cell_text(after, column, day))
      changed << column_title(column).toLower().section(QStringLiteral(" ("), 0, 0);
  }
  return changed.isEmpty() ? QStringLiteral("as it is")
                           : QStringLiteral("changes ") + changed.join(QStringLiteral(", "));
}

ImportLine refusal(int line, const Error& error) {
  return {line, std::nullopt, false, QStringLiteral("refused: ") + from(error.sentence())};
}

}  // namespace

int RosterImport::coming() const { return static_cast<int>(lines.size()) - refused(); }

int RosterImport::refused() const {
  return static_cast<int>(
      std::count_if(lines.begin(), lines.end(), [](const ImportLine& l) { return !l.athlete; }));
}

Result<RosterImport> read_roster_import(const std::filesystem::path& path,
                                        const std::vector<RosterAthlete>& roster,
                                        const std::string& day) {
  const auto text = read_text(path);
  if (!text) return tl::make_unexpected(text.error());
  table::DelimitedOptions options;
  options.separator = separator_of(*text);
  auto reader = table::DelimitedReader::make(std::make_unique<std::istringstream>(*text),
                                             path.filename().string(), options);
  if (!reader) return tl::make_unexpected(reader.error());
  RosterImport import;
  const Layout layout = lay_out(reader->columns(), import);
  const bool ids = layout.has(Field::id);
  if (!ids && !layout.has(Field::name) && !layout.has(Field::last_name))
    return fail(path.filename().string(), "has neither a column of ids nor one of names",
                "give its first line headings such as id, name, born, throws, height (cm)");
  std::set<std::string> taken = ids_of(roster);
  std::set<std::string> seen;
  std::int64_t last_line = 0;
  while (true) {
    const auto row = reader->next_text();
    const int line = static_cast<int>(reader->line());
    if (!row) {
      import.lines.push_back(refusal(line, row.error()));
      if (line == last_line) return import;  // a fault beyond which there are no more lines
      last_line = line;
      continue;
    }
    last_line = line;
    if (!*row) return import;
    const QString id = layout.cell(**row, Field::id);
    const QString name = name_of(**row, layout);
    const std::string where = fmt::format("line {}", line);
    if (ids ? id.isEmpty() : name.isEmpty()) {
      import.lines.push_back(refusal(line, fail(where, ids ? "has no id" : "has no name").value()));
      continue;
    }
    const RosterAthlete* known = known_as(roster, id.toStdString(), name.toStdString(), ids);
    RosterAthlete start;
    if (known != nullptr)
      start = *known;
    else
      start.id = ids ? id.toStdString() : free_id(taken);
    if (!seen.insert(start.id).second) {
      import.lines.push_back(
          refusal(line, fail(where, fmt::format("has '{}' a second time", start.id)).value()));
      continue;
    }
    if (known == nullptr && layout.cell(**row, Field::hand).isEmpty()) {
      import.lines.push_back(refusal(
          line, fail(where, "does not say the throwing hand", "write right or left").value()));
      continue;
    }
    auto athlete = athlete_of(**row, layout, start, day);
    if (!athlete) {
      import.lines.push_back(refusal(line, athlete.error()));
      continue;
    }
    taken.insert(athlete->id);
    const QString words =
        known == nullptr ? QStringLiteral("new") : change_words(*known, *athlete, day);
    import.lines.push_back({line, std::move(*athlete), known != nullptr, words});
  }
}

std::vector<RosterAthlete> merged(std::vector<RosterAthlete> roster, const RosterImport& import) {
  for (const ImportLine& line : import.lines) {
    if (!line.athlete) continue;
    const auto there = std::find_if(roster.begin(), roster.end(), [&](const RosterAthlete& a) {
      return a.id == line.athlete->id;
    });
    if (there == roster.end())
      roster.push_back(*line.athlete);
    else
      *there = *line.athlete;
  }
  return roster;
}

}  // namespace moundwork::desk
