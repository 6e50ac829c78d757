// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"

namespace moundwork::drivers {

[[nodiscard]] inline bool is_blank(char c) { return c == ' ' || c == '\t'; }

/// A line as an instrument prints it: text with fields in braces, {skip} being anything up to the
/// next blank. A blank takes any run of blanks, or none at the ends; other characters stand for
/// themselves. "{direction} {speed} {unit}", "S={speed};". Reading a line takes time in proportion
/// to its length.
class LinePattern {
 public:
  /// `fields` are the names that may stand in it, once each; `where` names the pattern in messages.
  [[nodiscard]] static Result<LinePattern> make(std::string_view pattern,
                                                std::span<const std::string_view> fields,
                                                const std::string& where);

  /// Whether the field of this place among `fields` stands in it.
  [[nodiscard]] bool has(std::size_t field) const;

  /// Takes the field's characters from the front of what is left of the line; false: it has none.
  using Take = std::function<bool(std::size_t field, std::string_view& rest)>;
  [[nodiscard]] bool match(std::string_view line, const Take& take) const;

 private:
  enum class Kind { literal, blank, field, skip };
  struct Piece {
    Kind kind;
    std::string text;       // of a literal
    std::size_t field = 0;  // of a field
  };
  [[nodiscard]] static bool take_piece(const Piece& piece, std::string_view& rest,
                                       const Take& take);

  std::vector<Piece> pieces_;
};

}  // namespace moundwork::drivers
