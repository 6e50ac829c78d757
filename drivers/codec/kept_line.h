// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace moundwork::drivers {

/// A line as it is kept in a session: bytes that are no characters (0 to 31 but for the tab, 127)
/// as \xNN in hexadecimal digits; of one with more than `longest_kept_line` bytes the beginning,
/// and then "...".
inline constexpr std::size_t longest_kept_line = 95;
[[nodiscard]] std::string kept_line(std::string_view line);

}  // namespace moundwork::drivers
