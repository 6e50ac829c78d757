// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"

namespace moundwork::relate {

/// A column name with the unit that people put at its end: "impulse (N s)", "impulse [N s]",
/// "speed_mph".
struct NameWithUnit {
  std::string name;
  std::string unit;  ///< empty when there is none
};
[[nodiscard]] NameWithUnit split_unit(std::string_view column);

/// Cells of one column of a table, as text.
struct TextColumn {
  std::string where;  ///< file and column, for sentences
  std::vector<std::string> cells;
  std::vector<std::int64_t> lines;  ///< of each cell in the file
};

struct NumberColumn {
  std::vector<double> values;  ///< NaN where missing
  std::string unit;            ///< of all values; empty when nothing tells
  std::vector<std::string> notes;
};

/// True for an empty cell and the usual marks of a missing value (NA, NaN, null, -, . and such).
[[nodiscard]] bool is_missing(std::string_view cell);

/// Numbers, with or without a unit behind each. Units that differ are converted to the header's, or
/// else the commonest; fails on text that is no number, on units that do not go together, and where
/// some cells have a unit and others, under a header without one, do not.
[[nodiscard]] Result<NumberColumn> read_numbers(const TextColumn& column,
                                                std::string_view header_unit);

/// A sentence when the values fall into two groups whose ratio is that of two usual units, as when
/// mph and m/s were typed into one column; empty otherwise.
[[nodiscard]] std::string two_units_suspected(std::span<const double> values,
                                              std::string_view column);

}  // namespace moundwork::relate
