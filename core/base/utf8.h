// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace moundwork {

/// The text with U+FFFD for whatever in it is not UTF-8, as the Unicode Standard recommends
/// (section 3.9, "U+FFFD Substitution of Maximal Subparts"): files and terminals of other programs
/// hold such bytes, and a page or table with one of them may not open at all.
[[nodiscard]] std::string valid_utf8(std::string_view text);

}  // namespace moundwork
