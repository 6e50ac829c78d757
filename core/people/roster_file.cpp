// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <optional>
#include <set>
#include <system_error>
#include <variant>

#include "core/base/one_line.h"
#include "core/base/wall_time.h"
#include "core/table/csv_cell.h"
#include "core/table/delimited.h"

namespace moundwork::people {
namespace {

namespace fs = std::filesystem;

std::optional<std::size_t> place_of(const std::vector<std::string>& columns,
                                    std::string_view name) {
  const auto at = std::find(columns.begin(), columns.end(), name);
  if (at == columns.end()) return std::nullopt;
  return static_cast<std::size_t>(at - columns.begin());
}

bool is_known(std::string_view column) {
  return std::any_of(roster_fields.begin(), roster_fields.end(),
                     [&](const RosterField& field) { return column == field.column; });
}

Result<double> number_of(std::string text, bool decimal_comma, const std::string& where) {
  if (text.empty()) return std::numeric_limits<double>::quiet_NaN();
  if (decimal_comma) std::replace(text.begin(), text.end(), ',', '.');
  double number = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc{} || end != text.data() + text.size() || !(number > 0.0) ||
      !std::isfinite(number))
    return fail(where, fmt::format("'{}' is not a number above zero", one_line(text)),
                "write it with a point and without a unit, in the unit that the column names");
  return number;
}

// How a cell's text becomes what the athlete has.
struct CellReader {
  const RosterField& field;
  const std::string& text;
  bool decimal_comma;
  const std::string& where;

  Result<void> operator()(std::string& value) const {
    if (field.is_day && !text.empty() && !is_date(text))
      return fail(where, fmt::format("'{}' is not a date", one_line(text)),
                  "write it as YYYY-MM-DD");
    value = text;
    return {};
  }
  Result<void> operator()(double& value) const {
    const auto number = number_of(text, decimal_comma, fmt::format("{}, {}", where, field.column));
    if (!number) return tl::make_unexpected(number.error());
    value = *number;
    return {};
  }
  Result<void> operator()(session::Hand& value) const {
    if (text != "right" && text != "left")
      return fail(where, fmt::format("throws with '{}'", one_line(text)), "write right or left");
    value = text == "left" ? session::Hand::left : session::Hand::right;
    return {};
  }
};

Result<RosterAthlete> athlete_of(const RosterFile& file, const std::vector<std::string>& row,
                                 const std::string& where) {
  if (table::original_of(row[*place_of(file.columns, "id")]).empty())
    return fail(where, "has no id", "give every athlete one of their own, such as A07");
  RosterAthlete athlete;
  for (const RosterField& field : roster_fields) {
    const auto at = place_of(file.columns, field.column);
    const std::string text = at ? table::original_of(row[*at]) : std::string();
    const CellReader read{field, text, file.decimal_comma, where};
    if (auto taken = std::visit([&](auto member) { return read(athlete.*member); }, field.member);
        !taken)
      return tl::make_unexpected(taken.error());
  }
  for (std::size_t c = 0; c < file.columns.size(); ++c)
    if (!is_known(file.columns[c])) athlete.other.emplace_back(file.columns[c], row[c]);
  return athlete;
}

// What a first reading does not tell: how the file was written.
void look_at_writing(const fs::path& path, RosterFile& file) {
  std::ifstream stream(path, std::ios::binary);
  std::string heading;
  std::getline(stream, heading);
  file.mark = heading.starts_with("\xef\xbb\xbf");
  for (const char candidate : {'\t', ';'})
    if (heading.find(candidate) != std::string::npos) {
      file.separator = candidate;
      return;
    }
}

}  // namespace

Result<RosterFile> read_roster_file(const fs::path& path) {
  RosterFile file;
  std::error_code status;
  if (!fs::exists(path, status) && !status) {
    for (const RosterField& field : roster_fields) file.columns.emplace_back(field.column);
    return file;
  }
  look_at_writing(path, file);
  table::DelimitedOptions options;
  options.separator = file.separator;
  auto reader = table::DelimitedReader::open(path, options);
  if (!reader) return tl::make_unexpected(reader.error());
  for (const char* needed : {"id", "throws"})
    if (const auto found = reader->column(needed); !found)
      return tl::make_unexpected(found.error());
  file.columns = reader->columns();
  std::vector<std::string> places;
  while (true) {
    const auto row = reader->next_text();
    if (!row) return tl::make_unexpected(row.error());
    if (!*row) break;
    file.rows.emplace_back((*row)->begin(), (*row)->end());
    places.push_back(fmt::format("{}, line {}", path.string(), reader->line()));
  }
  if (file.separator != ',')
    for (const RosterField& field : roster_fields)
      if (const auto at = place_of(file.columns, field.column); at && field.is_number())
        for (const auto& row : file.rows)
          file.decimal_comma |= row[*at].find(',') != std::string::npos;
  std::set<std::string> ids;
  for (std::size_t r = 0; r < file.rows.size(); ++r) {
    auto athlete = athlete_of(file, file.rows[r], places[r]);
    if (!athlete) return tl::make_unexpected(athlete.error());
    if (!ids.insert(athlete->id).second)
      return fail(places[r], fmt::format("has the id '{}' a second time", one_line(athlete->id)),
                  "give every athlete one of their own");
    file.athletes.push_back(std::move(*athlete));
  }
  return file;
}

std::string text_of(const RosterFile& file) {
  std::string text = file.mark ? "\xef\xbb\xbf" : "";
  const auto add = [&](const std::vector<std::string>& cells) {
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (c > 0) text += file.separator;
      text += table::quoted_cell(cells[c], file.separator);
    }
    text += "\r\n";
  };
  add(file.columns);
  for (const auto& row : file.rows) add(row);
  return text;
}

void put_athlete(RosterFile& file, std::size_t row, const RosterAthlete& athlete) {
  RosterAthlete& before = file.athletes[row];
  for (const RosterField& field : roster_fields) {
    std::string text = roster_text(athlete, field);
    if (text == roster_text(before, field)) continue;
    if (!place_of(file.columns, field.column)) {
      file.columns.emplace_back(field.column);
      for (auto& cells : file.rows) cells.emplace_back();
    }
    // No number of a person is below zero, so none is taken for a formula.
    if (file.decimal_comma && field.is_number()) std::replace(text.begin(), text.end(), '.', ',');
    file.rows[row][*place_of(file.columns, field.column)] = table::harmless(text);
    take_field(before, athlete, field);
  }
}

void insert_athlete(RosterFile& file, std::size_t row, const RosterAthlete& athlete) {
  const auto at = static_cast<std::ptrdiff_t>(std::min(row, file.rows.size()));
  std::vector<std::string> cells(file.columns.size());
  for (const auto& [column, text] : athlete.other)
    if (const auto place = place_of(file.columns, column)) cells[*place] = text;
  RosterAthlete blank;
  blank.other = athlete.other;
  // Not all fields of a blank athlete are empty: everybody throws with a hand.
  for (const RosterField& field : roster_fields)
    if (const auto place = place_of(file.columns, field.column))
      cells[*place] = roster_text(blank, field);
  file.rows.insert(file.rows.begin() + at, std::move(cells));
  file.athletes.insert(file.athletes.begin() + at, std::move(blank));
  put_athlete(file, static_cast<std::size_t>(at), athlete);
}

void erase_athlete(RosterFile& file, std::size_t row) {
  file.rows.erase(file.rows.begin() + static_cast<std::ptrdiff_t>(row));
  file.athletes.erase(file.athletes.begin() + static_cast<std::ptrdiff_t>(row));
}

Result<std::vector<RosterAthlete>> read_roster(const fs::path& path) {
  std::error_code status;
  if (!fs::exists(path, status))
    return fail(path.string(), "cannot be opened as a file",
                "check the name and that you may read it");
  auto file = read_roster_file(path);
  if (!file) return tl::make_unexpected(file.error());
  return std::move(file->athletes);
}

}  // namespace moundwork::people
