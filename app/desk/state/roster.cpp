// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/roster.h"

#include <fmt/format.h>

#include <QSaveFile>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <set>

#include "core/base/wall_time.h"
#include "core/table/delimited.h"

namespace moundwork::desk {
namespace {

constexpr std::array columns{"id",      "name",          "born",    "throws",           "height_m",
                             "mass_kg", "foot_length_m", "consent", "guardian_consent", "notes"};

std::string quoted(std::string text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  for (std::size_t at = 0; (at = text.find('"', at)) != std::string::npos; at += 2)
    text.insert(at, 1, '"');
  return '"' + text + '"';
}

std::string number_text(double number) {
  return std::isfinite(number) ? fmt::format("{}", number) : std::string();
}

Result<double> number_of(const std::string& text, const std::string& where) {
  if (text.empty()) return std::numeric_limits<double>::quiet_NaN();
  double number = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (status != std::errc{} || end != text.data() + text.size() || !(number > 0.0) ||
      !std::isfinite(number))
    return fail(where, fmt::format("'{}' is not a number above zero", text),
                "write it with a point and without a unit, in the unit that the column names");
  return number;
}

/// Cells of a row by column name; absent columns are empty.
class Cells {
 public:
  Cells(const std::vector<std::string>& names, std::span<const std::string> row)
      : names_(names), row_(row) {}
  [[nodiscard]] std::string operator[](std::string_view name) const {
    const auto at = std::find(names_.begin(), names_.end(), name);
    return at == names_.end() ? std::string() : row_[static_cast<std::size_t>(at - names_.begin())];
  }

 private:
  const std::vector<std::string>& names_;
  std::span<const std::string> row_;
};

Result<RosterAthlete> athlete_of(const Cells& cells, const std::string& where) {
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
      return fail(where, fmt::format("'{}' is not a date", *date), "write it as YYYY-MM-DD");
  const std::string throws = cells["throws"];
  if (throws != "right" && throws != "left")
    return fail(where, fmt::format("throws with '{}'", throws), "write right or left");
  athlete.throws = throws == "left" ? session::Hand::left : session::Hand::right;
  for (const auto& [column, member] :
       {std::pair{"height_m", &RosterAthlete::height}, std::pair{"mass_kg", &RosterAthlete::mass},
        std::pair{"foot_length_m", &RosterAthlete::foot_length}}) {
    const auto number = number_of(cells[column], where + ", " + column);
    if (!number) return tl::make_unexpected(number.error());
    athlete.*member = *number;
  }
  return athlete;
}

}  // namespace

std::optional<int> age_on(const RosterAthlete& athlete, const std::string& day) {
  return age_at(athlete.born, day);
}

std::string consent_missing(const RosterAthlete& athlete, const std::string& day) {
  if (athlete.consent.empty()) return "the athlete's own consent is not noted";
  const auto age = age_on(athlete, day);
  if (!age) return athlete.guardian_consent.empty() ? "the date of birth is not noted" : "";
  if (*age < 18 && athlete.guardian_consent.empty()) return "the guardian's consent is not noted";
  return {};
}

Result<std::vector<RosterAthlete>> read_roster(const std::filesystem::path& path) {
  auto reader = table::DelimitedReader::open(path);
  if (!reader) return tl::make_unexpected(reader.error());
  for (const char* needed : {"id", "throws"})
    if (const auto found = reader->column(needed); !found)
      return tl::make_unexpected(found.error());
  std::vector<RosterAthlete> athletes;
  std::set<std::string> ids;
  while (true) {
    const auto row = reader->next_text();
    if (!row) return tl::make_unexpected(row.error());
    if (!*row) return athletes;
    const std::string where = fmt::format("{}, line {}", path.string(), reader->line());
    auto athlete = athlete_of(Cells(reader->columns(), **row), where);
    if (!athlete) return tl::make_unexpected(athlete.error());
    if (!ids.insert(athlete->id).second)
      return fail(where, fmt::format("has the id '{}' a second time", athlete->id),
                  "give every athlete one of their own");
    athletes.push_back(std::move(*athlete));
  }
}

Result<void> write_roster(const std::filesystem::path& path,
                          const std::vector<RosterAthlete>& athletes) {
  std::string text;
  for (const char* column : columns) text += (text.empty() ? "" : ",") + std::string(column);
  text += "\r\n";
  for (const RosterAthlete& a : athletes)
    text += fmt::format("{},{},{},{},{},{},{},{},{},{}\r\n", quoted(a.id), quoted(a.name), a.born,
                        a.throws == session::Hand::left ? "left" : "right", number_text(a.height),
                        number_text(a.mass), number_text(a.foot_length), a.consent,
                        a.guardian_consent, quoted(a.notes));
  QSaveFile file(QString::fromStdString(path.string()));
  if (!file.open(QIODevice::WriteOnly) ||
      file.write(text.data(), static_cast<qint64>(text.size())) < 0 || !file.commit())
    return fail(path.string(), "could not be written (" + file.errorString().toStdString() + ")",
                "the roster on disk is as it was");
  return {};
}

}  // namespace moundwork::desk
