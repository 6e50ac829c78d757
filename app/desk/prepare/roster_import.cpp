// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_import.h"

#include <fmt/format.h>

#include <QFile>
#include <QStringDecoder>
#include <algorithm>
#include <array>
#include <memory>
#include <set>
#include <span>
#include <sstream>

#include "app/desk/prepare/roster_columns.h"
#include "app/desk/prepare/typed_quantity.h"
#include "core/people/athlete_ids.h"
#include "core/table/delimited.h"

namespace moundwork::desk {
namespace {

// A roster is typed by hand: this is some five thousand athletes.
constexpr qint64 largest_file = 1 << 19;

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

/// Where each field stands in the file.
struct Layout {
  std::array<int, list_column_count> column;
  std::array<QString, list_column_count> unit;
  Layout() { column.fill(-1); }
  [[nodiscard]] bool has(RosterColumn field) const {
    return column[static_cast<std::size_t>(field)] >= 0;
  }
  [[nodiscard]] QString cell(std::span<const std::string> row, RosterColumn field) const {
    const int at = column[static_cast<std::size_t>(field)];
    return at < 0 ? QString() : QString::fromStdString(row[static_cast<std::size_t>(at)]).trimmed();
  }
  [[nodiscard]] QString unit_of(RosterColumn field) const {
    return unit[static_cast<std::size_t>(field)];
  }
};

Layout lay_out(const std::vector<ImportColumn>& columns) {
  Layout layout;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const auto& column = columns[c];
    if (!column.field || layout.has(*column.field)) continue;
    layout.column[static_cast<std::size_t>(*column.field)] = static_cast<int>(c);
    layout.unit[static_cast<std::size_t>(*column.field)] = column.unit;
  }
  return layout;
}

QString row_name(std::span<const std::string> row, const Layout& layout) {
  if (layout.has(RosterColumn::name)) return layout.cell(row, RosterColumn::name);
  return (layout.cell(row, RosterColumn::first_name) + u' ' +
          layout.cell(row, RosterColumn::last_name))
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

Result<RosterAthlete> athlete_of(std::span<const std::string> row, const Layout& layout,
                                 RosterAthlete athlete, const std::string& day, DayOrder order) {
  if (const QString name = row_name(row, layout); !name.isEmpty())
    athlete.name = name.toStdString();
  for (int c = 0; c < roster_column_count; ++c) {
    const auto column = static_cast<RosterColumn>(c);
    const QString cell = layout.cell(row, column);
    // The id is settled, and the name may come in two pieces.
    if (cell.isEmpty() || column == RosterColumn::id || column == RosterColumn::name) continue;
    const QString unit = layout.unit_of(column);
    auto taken = with_cell_in(athlete, column, cell, unit, day, order);
    if (!taken && entry_of(column).kind == CellKind::number && unit.isEmpty())
      taken.error().advice =
          fmt::format("choose its unit above, or name it in the heading, such as {} ({})",
                      entry_of(column).title,
                      entry_of(column).number.dimension == Dimension::mass ? "kg" : "cm");
    if (!taken) return taken;
    athlete = std::move(*taken);
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
  return {line, std::nullopt, false, false,
          QStringLiteral("refused: ") + QString::fromStdString(error.sentence())};
}

table::DelimitedOptions options_of(const std::string& text) {
  table::DelimitedOptions options;
  options.separator = separator_of(text);
  return options;
}

Result<std::vector<std::string>> headings_in(const std::string& text, const std::string& name) {
  const auto reader = table::DelimitedReader::make(std::make_unique<std::istringstream>(text), name,
                                                   options_of(text));
  if (!reader) return tl::make_unexpected(reader.error());
  return reader->columns();
}

/// Goes on behind a row that cannot be read.
template <class Take>
void for_each_row(const std::string& text, const std::string& name, Take take) {
  auto reader = table::DelimitedReader::make(std::make_unique<std::istringstream>(text), name,
                                             options_of(text));
  if (!reader) return;
  std::int64_t last_line = 0;
  while (true) {
    const auto row = reader->next_text();
    const int line = static_cast<int>(reader->line());
    if (!row) {
      take(line, tl::make_unexpected(row.error()));
      if (line == last_line) return;  // a fault beyond which there are no more lines
    } else if (!*row) {
      return;
    } else {
      take(line, **row);
    }
    last_line = line;
  }
}

/// One day of the file that can be meant in one order alone settles it for all of them.
void settle_order(const std::string& text, const std::string& name, const Layout& layout,
                  RosterImport& import) {
  bool month_first = false, day_first = false;
  for_each_row(text, name, [&](int, const Result<std::span<const std::string>>& row) {
    if (!row) return;
    for (const RosterColumn field :
         {RosterColumn::born, RosterColumn::consent, RosterColumn::guardian_consent}) {
      const std::string cell = layout.cell(*row, field).toStdString();
      import.has_slashes |= has_slashes(cell);
      month_first |= order_of_day(cell) == DayOrder::month_first;
      day_first |= order_of_day(cell) == DayOrder::day_first;
    }
  });
  if (month_first != day_first)
    import.order = month_first ? DayOrder::month_first : DayOrder::day_first;
}

ImportLine read_line(int line, std::span<const std::string> row, const Layout& layout, bool ids,
                     const std::vector<RosterAthlete>& roster, const std::string& day,
                     DayOrder order, const std::set<std::string>& seen, int next) {
  const QString id = layout.cell(row, RosterColumn::id);
  const QString name = row_name(row, layout);
  const std::string where = fmt::format("line {}", line);
  if (ids ? id.isEmpty() : name.isEmpty())
    return refusal(line, fail(where, ids ? "has no id" : "has no name").value());
  const RosterAthlete* known = known_as(roster, id.toStdString(), name.toStdString(), ids);
  RosterAthlete start;
  if (known != nullptr)
    start = *known;
  else
    start.id = ids ? id.toStdString() : people::id_of(next);
  if (seen.contains(start.id))
    return refusal(line, fail(where, fmt::format("has '{}' a second time", start.id)).value());
  if (known == nullptr && layout.cell(row, RosterColumn::hand).isEmpty())
    return refusal(line,
                   fail(where, "does not say the throwing hand", "write right or left").value());
  auto athlete = athlete_of(row, layout, start, day, order);
  if (!athlete) return refusal(line, athlete.error());
  const QString words =
      known == nullptr ? QStringLiteral("new") : change_words(*known, *athlete, day);
  return {line, std::move(*athlete), known != nullptr, known == nullptr && !ids, words};
}

}  // namespace

int RosterImport::coming() const { return static_cast<int>(lines.size()) - refused(); }

QStringList RosterImport::ignored() const {
  QStringList headings;
  for (const ImportColumn& column : columns)
    if (!column.field) headings << column.heading;
  return headings;
}

int RosterImport::refused() const {
  return static_cast<int>(
      std::count_if(lines.begin(), lines.end(), [](const ImportLine& l) { return !l.athlete; }));
}

Result<RosterImport> read_roster_import(const std::filesystem::path& path,
                                        const std::vector<RosterAthlete>& roster,
                                        const std::string& day, const ImportChoices& choices) {
  const auto text = read_text(path);
  if (!text) return tl::make_unexpected(text.error());
  const std::string name = path.filename().string();
  RosterImport import;
  const auto headings = headings_in(*text, name);
  if (!headings) return tl::make_unexpected(headings.error());
  import.columns =
      choices.columns.size() == headings->size() ? choices.columns : columns_from(*headings);
  const Layout layout = lay_out(import.columns);
  const bool ids = layout.has(RosterColumn::id);
  if (!ids && !layout.has(RosterColumn::name) && !layout.has(RosterColumn::last_name)) {
    import.problem = QStringLiteral(
        "The file has neither a column of ids nor one of names: say above what its columns hold, "
        "or "
        "give its first line headings such as id, name, born, throws, height (cm).");
    return import;
  }
  import.order = choices.order;
  if (import.order == DayOrder::unsettled) settle_order(*text, name, layout, import);
  int next = choices.next_id;
  for (const RosterAthlete& athlete : roster)
    next = std::max(next, people::number_of(athlete.id).value_or(0) + 1);
  std::set<std::string> seen;
  for_each_row(*text, name, [&](int line, const Result<std::span<const std::string>>& row) {
    if (!row) return import.lines.push_back(refusal(line, row.error()));
    auto read = read_line(line, *row, layout, ids, roster, day, import.order, seen, next);
    if (read.athlete) {
      // Only now: a line that is refused takes nobody's id.
      seen.insert(read.athlete->id);
      if (!read.known) next = std::max(next, people::number_of(read.athlete->id).value_or(0) + 1);
    }
    import.lines.push_back(std::move(read));
  });
  return import;
}

std::vector<people::RowChange> changes_of(const RosterImport& import,
                                          const std::vector<RosterAthlete>& roster) {
  std::vector<people::RowChange> changes;
  for (const ImportLine& line : import.lines) {
    if (!line.athlete) continue;
    const auto there = std::find_if(roster.begin(), roster.end(), [&](const RosterAthlete& a) {
      return a.id == line.athlete->id;
    });
    if (there == roster.end())
      changes.push_back({std::nullopt, line.athlete, line.any_id});
    else if (!people::same(*there, *line.athlete))
      changes.push_back({*there, line.athlete});
  }
  return changes;
}

}  // namespace moundwork::desk
