// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/table/csv_cell.h"

#include <fmt/format.h>

#include <cmath>

#include "core/base/utf8.h"

namespace moundwork::table {
namespace {

// Where a formula's first character stands after apostrophes and spaces; npos where none does.
std::size_t formula_in(std::string_view text) {
  constexpr std::string_view runs_as_formula = "=+-@\t\r\n";
  const auto first = text.find_first_not_of("' ");
  if (first == std::string_view::npos ||
      runs_as_formula.find(text[first]) == std::string_view::npos)
    return std::string_view::npos;
  return first;
}

}  // namespace

std::string harmless(std::string_view text) {
  std::string safe = valid_utf8(text);
  if (formula_in(safe) != std::string::npos) safe.insert(safe.begin(), '\'');
  return safe;
}

std::string original_of(std::string_view text) {
  if (text.starts_with('\'') && formula_in(text) != std::string_view::npos) text.remove_prefix(1);
  return std::string(text);
}

std::string quoted_cell(std::string_view text, char separator) {
  if (text.find_first_of("\"\r\n") == std::string_view::npos &&
      text.find(separator) == std::string_view::npos)
    return std::string(text);
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

std::string text_cell(std::string_view text, char separator) {
  return quoted_cell(harmless(text), separator);
}

std::string number_cell(double value, int digits) {
  if (!std::isfinite(value)) return {};
  // {fmt} asks no locale unless told to with "L".
  return digits < 0 ? fmt::format("{}", value) : fmt::format("{:.{}f}", value, digits);
}

}  // namespace moundwork::table
