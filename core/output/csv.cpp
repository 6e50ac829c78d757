// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>
#include <stdexcept>

#include "core/base/utf8.h"

namespace moundwork::output {
namespace {

std::string cell(const std::string& text, int) { return text_cell(text); }
std::string cell(double value, int digits) { return number_cell(value, digits); }
std::string cell(std::int64_t value, int) { return fmt::format("{}", value); }
std::string cell(YesNo answer, int) { return answer.value ? "true" : "false"; }

}  // namespace

std::string harmless(std::string_view text) {
  std::string safe = valid_utf8(text);
  const auto first = safe.find_first_not_of("' ");
  constexpr std::string_view runs_as_formula = "=+-@\t\r\n";
  if (first != std::string::npos && runs_as_formula.find(safe[first]) != std::string_view::npos)
    safe.insert(safe.begin(), '\'');
  return safe;
}

std::string text_cell(std::string_view text) {
  std::string safe = harmless(text);
  if (safe.find_first_of(",\"\r\n") == std::string::npos) return safe;
  std::string quoted = "\"";
  for (const char c : safe) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

std::string number_cell(double value, int digits) {
  if (!std::isfinite(value)) return {};
  // {fmt} asks no locale unless told to with "L".
  return digits < 0 ? fmt::format("{}", value) : fmt::format("{:.{}f}", value, digits);
}

int time_digits(double rate) {
  constexpr double share_of_step = 0.01;
  // Rounding to d digits moves a time by at most 10^-d / 2.
  return std::max(0, static_cast<int>(std::ceil(std::log10(rate / (2.0 * share_of_step)))));
}

Result<void> write_csv(const Table& table, const std::filesystem::path& path) {
  for (const Column& column : table.columns)
    if (std::visit([](const auto& cells) { return cells.size(); }, column.cells) !=
        table.row_count())
      throw std::logic_error("column " + column.name + " is not as long as its table");
  std::ofstream file(path, std::ios::binary);
  std::string line;
  for (const Column& column : table.columns)
    line += (line.empty() ? "" : ",") + text_cell(column.name);
  file << line << "\r\n";
  for (std::size_t row = 0; row < table.row_count() && file; ++row) {
    line.clear();
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
      if (c > 0) line += ',';
      const Column& column = table.columns[c];
      line += std::visit([&](const auto& cells) { return cell(cells[row], column.digits); },
                         column.cells);
    }
    file << line << "\r\n";
  }
  file.close();
  if (!file)
    return fail(path.string(), std::string("cannot be written: ") + std::strerror(errno),
                "check that the folder may be written to and the disk has room");
  return {};
}

}  // namespace moundwork::output
