// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/roster_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <optional>
#include <set>
#include <span>
#include <system_error>

#include "core/base/one_line.h"
#include "core/base/wall_time.h"
#include "core/table/csv_cell.h"
#include "core/table/delimited.h"

namespace moundwork::people {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 3> number_columns{"height_m", "mass_kg", "foot_length_m"};

std::optional<std::size_t> place_of(const std::vector<std::string>& columns,
                                    std::string_view name) {
  const auto at = std::find(columns.begin(), columns.end(), name);
  if (at == columns.end()) return std::nullopt;
  return static_cast<std::size_t>(at - columns.begin());
}

bool is_known(std::string_view column) {
  for (int field = 0; field < roster_field_count; ++field)
    if (column == roster_column(field)) return true;
  return false;
}

bool is_number(int field) {
  const std::string_view column = roster_column(field);
  return std::find(number_columns.begin(), number_columns.end(), column) != number_columns.end();
}

// Cells of a row by column name; absent columns are empty.
class Cells {
 public:
  Cells(const std::vector<std::string>& names, const std::vector<std::string>& row)
      : names_(names), row_(row) {}
  [[nodiscard]] std::string operator[](std::string_view name) const {
    const auto at = place_of(names_, name);
    return at ? table::original_of(row_[*at]) : std::string();
  }

 private:
  const std::vector<std::string>& names_;
  const std::vector<std::string>& row_;
};

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

Result<RosterAthlete> athlete_of(const RosterFile& file, const std::vector<std::string>& row,
                                 const std::string& where) {
  const Cells cells(file.columns, row);
  RosterAthlete athlete;
  athlete.id = cells["id"];
  if (athlete.id.empty())
    return fail(where, "has no id", "give every athlete one of their own, such as A07");
  athlete.name = cells["name"];
  athlete.born = cells["born"];
  athlete.consent = cells["consent"];
  athlete.guardian_consent = cells["guardian_consent"];
  athlete.notes = cells["notes"];
  for (const auto* date : {&athlete.born, &athlete.consent, &athlete.guardian_consent})
    if (!date->empty() && !is_date(*date))
      return fail(where, fmt::format("'{}' is not a date", one_line(*date)),
                  "write it as YYYY-MM-DD");
  const std::string throws = cells["throws"];
  if (throws != "right" && throws != "left")
    return fail(where, fmt::format("throws with '{}'", one_line(throws)), "write right or left");
  athlete.throws = throws == "left" ? session::Hand::left : session::Hand::right;
  for (const auto& [column, member] :
       {std::pair{"height_m", &RosterAthlete::height}, std::pair{"mass_kg", &RosterAthlete::mass},
        std::pair{"foot_length_m", &RosterAthlete::foot_length}}) {
    const auto number =
        number_of(cells[column], file.decimal_comma, fmt::format("{}, {}", where, column));
    if (!number) return tl::make_unexpected(number.error());
    athlete.*member = *number;
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
    for (int field = 0; field < roster_field_count; ++field)
      file.columns.emplace_back(roster_column(field));
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
    for (const std::string_view column : number_columns)
      for (const auto& row : file.rows)
        if (const auto at = place_of(file.columns, column))
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
  for (int field = 0; field < roster_field_count; ++field) {
    std::string text = roster_text(athlete, field);
    if (text == roster_text(before, field)) continue;
    if (!place_of(file.columns, roster_column(field))) {
      file.columns.emplace_back(roster_column(field));
      for (auto& cells : file.rows) cells.emplace_back();
    }
    // No number of a person is below zero, so none is taken for a formula.
    if (file.decimal_comma && is_number(field)) std::replace(text.begin(), text.end(), '.', ',');
    file.rows[row][*place_of(file.columns, roster_column(field))] = table::harmless(text);
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
  if (const auto place = place_of(file.columns, "throws")) cells[*place] = roster_text(blank, 3);
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
