// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace moundwork::output {

struct YesNo {
  bool value = false;
};

using Cells = std::variant<std::vector<std::string>, std::vector<double>, std::vector<std::int64_t>,
                           std::vector<YesNo>>;

/// As few digits as give back the same double.
inline constexpr int shortest = -1;

/// Unknown texts are empty, unknown numbers NaN.
struct Column {
  std::string name;
  std::string unit;  ///< empty for words and names; "1" for a number without one
  std::string definition;
  Cells cells;
  int digits = shortest;  ///< after the decimal sign, of a column of doubles written as text
};

/// Columns of equal length, whatever file they then go into.
struct Table {
  std::string name;
  std::vector<Column> columns;

  [[nodiscard]] std::size_t row_count() const {
    return columns.empty()
               ? 0
               : std::visit([](const auto& cells) { return cells.size(); }, columns.front().cells);
  }
};

}  // namespace moundwork::output
