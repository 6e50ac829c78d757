// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/c3d/bytes.h"

namespace moundwork::c3d {

/// One entry of the parameter section, decoded. A number entry fills `numbers`, a text entry
/// `texts`; both run with the first dimension fastest, as stored.
struct Parameter {
  enum class Type : int { text = -1, byte = 1, int16 = 2, real = 4 };
  Type type = Type::byte;
  /// Text: without the first dimension, which is the width of one text.
  std::vector<int> dimensions;
  /// 16-bit integers as signed; see `unsigned_value` for those the standard means unsigned.
  std::vector<double> numbers;
  /// Valid UTF-8 without padding; bytes that are not UTF-8 are read as Latin-1.
  std::vector<std::string> texts;
};

/// Entries by "GROUP:NAME" in capitals. The first of two equal names stands.
using Parameters = std::map<std::string, Parameter, std::less<>>;

[[nodiscard]] const Parameter* find(const Parameters& parameters, std::string_view name);

/// First number of an entry, if it is there and holds one.
[[nodiscard]] const double* number(const Parameters& parameters, std::string_view name);

/// A 16-bit count that was stored as signed before the standard called it unsigned.
[[nodiscard]] double unsigned_value(double stored);

/// Reads the section that begins at byte `begin` and must end before `end` (0-based, inside the
/// bytes). Follows the links between entries and ignores the section's own block count, which is
/// one byte and wrong in long sections. `name` is the file's name for the error sentence.
[[nodiscard]] Result<Parameters> parse_parameters(const Bytes& bytes, std::size_t begin,
                                                  std::size_t end, const std::string& name);

}  // namespace moundwork::c3d
