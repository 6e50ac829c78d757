// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace moundwork {

/// What a person typed (UTF-8) as one line that cannot act on what stands around it, on a page or
/// on a terminal: line breaks and tabs become blanks; other control characters, and those that turn
/// the direction of the writing that follows (Unicode Standard Annex 9), go; what is not UTF-8 is
/// replaced (utf8.h).
[[nodiscard]] std::string one_line(std::string_view text);

}  // namespace moundwork
