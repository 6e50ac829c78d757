// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cells.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <optional>

#include "core/base/trim.h"
#include "core/base/units.h"
#include "core/base/unknown.h"

namespace moundwork::relate {
namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

struct Suffix {
  std::string_view ending;
  std::string_view unit;
};
// Endings of column names that leave no doubt; "_s" or "_n" could be anything.
constexpr std::array<Suffix, 7> suffixes{{{"_mph", "mph"},
                                          {"_mps", "m/s"},
                                          {"_kmh", "km/h"},
                                          {"_kph", "km/h"},
                                          {"_kg", "kg"},
                                          {"_lb", "lb"},
                                          {"_lbs", "lb"}}};

struct Cell {
  double value = unknown;
  std::string unit;
};

enum class CommaUse { none, decimal };

std::optional<Cell> parse(std::string_view text, CommaUse comma) {
  std::string plain(trim(text));
  // The minus sign that word processors like.
  if (plain.starts_with("\u2212")) plain.replace(0, 3, "-");
  if (plain.starts_with('+')) plain.erase(0, 1);
  if (comma == CommaUse::decimal) std::replace(plain.begin(), plain.end(), ',', '.');
  Cell cell;
  const char* const end = plain.data() + plain.size();
  const auto [stop, status] = std::from_chars(plain.data(), end, cell.value);
  if (status != std::errc() || !std::isfinite(cell.value)) return std::nullopt;
  cell.unit = trim(std::string_view(stop, static_cast<std::size_t>(end - stop)));
  // "36.5.2", "12-14" and "3/4" are no numbers with a unit.
  if (!cell.unit.empty() && !std::isalpha(static_cast<unsigned char>(cell.unit.front())) &&
      cell.unit.front() != '%')
    return std::nullopt;
  return cell;
}

// Comma as decimal mark when the column never uses a point; a column with both would be a guess.
CommaUse comma_use(const TextColumn& column) {
  bool comma = false;
  for (const auto& cell : column.cells) {
    if (is_missing(cell)) continue;
    if (cell.find('.') != std::string::npos) return CommaUse::none;
    comma = comma || cell.find(',') != std::string::npos;
  }
  return comma ? CommaUse::decimal : CommaUse::none;
}

std::optional<double> conversion(const std::string& from, const std::string& to) {
  if (from == to) return 1.0;
  for (const Dimension dimension :
       {Dimension::speed, Dimension::mass, Dimension::length, Dimension::force, Dimension::time,
        Dimension::angle, Dimension::frequency, Dimension::pressure}) {
    const auto a = unit_factor(from, dimension, {});
    const auto b = unit_factor(to, dimension, {});
    if (a && b) return *a / *b;
  }
  return std::nullopt;
}

std::string listed(const std::map<std::string, int>& units) {
  std::string text;
  for (const auto& [unit, count] : units)
    text +=
        fmt::format("{}{} ({})", text.empty() ? "" : ", ", unit.empty() ? "no unit" : unit, count);
  return text;
}

std::string commonest(const std::map<std::string, int>& units) {
  return std::max_element(units.begin(), units.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

Result<void> into_one_unit(const TextColumn& column, std::vector<Cell>& cells,
                           const std::map<std::string, int>& units, NumberColumn& numbers) {
  if (numbers.unit.empty()) {
    if (units.contains("") && units.size() > 1)
      return fail(column.where, "only some cells have a unit: " + listed(units),
                  "give all of them a unit, or none");
    numbers.unit = commonest(units);
  }
  for (auto& cell : cells) {
    if (std::isnan(cell.value) || cell.unit.empty()) continue;
    const auto factor = conversion(cell.unit, numbers.unit);
    if (!factor)
      return fail(column.where,
                  fmt::format("the unit {} cannot be turned into {}", cell.unit, numbers.unit),
                  "use one unit in a column");
    cell.value *= *factor;
  }
  if (units.size() > 1 || (!units.contains("") && units.begin()->first != numbers.unit))
    numbers.notes.push_back(fmt::format("{}: units {} were all turned into {}", column.where,
                                        listed(units), numbers.unit));
  return {};
}

}  // namespace

NameWithUnit split_unit(std::string_view column) {
  const std::string_view text = trim(column);
  for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}}) {
    if (!text.ends_with(close)) continue;
    const auto start = text.rfind(open);
    if (start == std::string_view::npos || start == 0) continue;
    return {std::string(trim(text.substr(0, start))),
            std::string(trim(text.substr(start + 1, text.size() - start - 2)))};
  }
  const std::string small = lower(text);
  for (const auto& suffix : suffixes)
    if (small.size() > suffix.ending.size() && small.ends_with(suffix.ending))
      return {std::string(text.substr(0, text.size() - suffix.ending.size())),
              std::string(suffix.unit)};
  return {std::string(text), {}};
}

bool is_missing(std::string_view cell) {
  static constexpr std::array<std::string_view, 10> marks{"",     "na", "n/a", "nan", "null",
                                                          "none", "-",  "--",  ".",   "?"};
  const std::string text = lower(trim(cell));
  return std::find(marks.begin(), marks.end(), text) != marks.end();
}

Result<NumberColumn> read_numbers(const TextColumn& column, std::string_view header_unit) {
  NumberColumn numbers;
  numbers.unit = header_unit;
  const CommaUse comma = comma_use(column);
  if (comma == CommaUse::decimal)
    numbers.notes.push_back(column.where + ": commas were read as decimal points");
  std::vector<Cell> cells;
  std::map<std::string, int> units;
  for (std::size_t i = 0; i < column.cells.size(); ++i) {
    Cell cell;
    if (!is_missing(column.cells[i])) {
      const auto parsed = parse(column.cells[i], comma);
      if (!parsed)
        return fail(fmt::format("{}, line {}", column.where, column.lines[i]),
                    fmt::format("'{}' is not a number", column.cells[i].substr(0, 40)),
                    "correct it, or leave the cell empty if the value is missing");
      cell = *parsed;
      // Beyond these the squares that a correlation sums overflow or vanish, and it would be 0
      // or one without a word.
      const double size = std::abs(cell.value);
      if (size > 1e100 || (size > 0.0 && size < 1e-100))
        return fail(
            fmt::format("{}, line {}", column.where, column.lines[i]),
            fmt::format("'{}' is beyond what anybody measures", column.cells[i].substr(0, 40)),
            "correct it, or leave the cell empty if the value is missing");
      ++units[cell.unit];
    }
    cells.push_back(std::move(cell));
  }
  if (units.size() > 1 || (units.size() == 1 && !units.contains("")))
    if (auto done = into_one_unit(column, cells, units, numbers); !done)
      return tl::unexpected(done.error());
  for (const auto& cell : cells) numbers.values.push_back(cell.value);
  return numbers;
}

std::string two_units_suspected(std::span<const double> values, std::string_view column) {
  struct Pair {
    double ratio;
    std::string_view names;
  };
  static constexpr std::array<Pair, 7> pairs{{{1.0 / mps_per_mph, "m/s and mph"},
                                              {1.0 / mps_per_kmh, "m/s and km/h"},
                                              {mps_per_mph / mps_per_kmh, "mph and km/h"},
                                              {1.0 / kilograms_per_pound, "kg and lb"},
                                              {1.0 / metres_per_foot, "m and ft"},
                                              {kilograms_per_pound * 9.80665, "lbf and N"},
                                              {1000.0, "a unit and its thousandth"}}};
  std::vector<double> sorted;
  for (const double value : values)
    if (value > 0.0) sorted.push_back(std::log(value));
  constexpr std::size_t least = 3;
  if (sorted.size() < 2 * least) return {};
  std::sort(sorted.begin(), sorted.end());
  std::size_t split = 1;
  for (std::size_t i = 1; i < sorted.size(); ++i)
    if (sorted[i] - sorted[i - 1] > sorted[split] - sorted[split - 1]) split = i;
  const std::size_t above = sorted.size() - split;
  if (split < least || above < least) return {};
  const double low_range = sorted[split - 1] - sorted.front();
  const double high_range = sorted.back() - sorted[split];
  // Two clouds, each narrower than the empty space between them.
  if (sorted[split] - sorted[split - 1] <= std::max(low_range, high_range)) return {};
  const double low = sorted[split / 2];
  const double high = sorted[split + above / 2];
  for (const auto& pair : pairs) {
    // Athletes of the two groups differ too: within an eighth.
    if (std::abs(high - low - std::log(pair.ratio)) > 0.12) continue;
    return fmt::format(
        "{}: {} values near {:.3g} and {} near {:.3g} look like two units in one column ({}), so "
        "check it before believing what follows",
        column, split, std::exp(low), above, std::exp(high), pair.names);
  }
  return {};
}

}  // namespace moundwork::relate
