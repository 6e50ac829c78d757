// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>
#include <stdexcept>

#include "core/base/write_file.h"
#include "core/table/csv_cell.h"

namespace moundwork::output {
namespace {

using table::number_cell;
using table::text_cell;

std::string cell(const std::string& text, int) { return text_cell(text); }
std::string cell(double value, int digits) { return number_cell(value, digits); }
std::string cell(std::int64_t value, int) { return fmt::format("{}", value); }
std::string cell(YesNo answer, int) { return answer.value ? "true" : "false"; }

}  // namespace

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
  if (auto made = write_file(path, {}); !made) return made;
  std::ofstream file(path, std::ios::binary | std::ios::app);
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
