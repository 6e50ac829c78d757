// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <charconv>
#include <limits>
#include <string_view>

namespace moundwork::support {

/// The number that a text begins with, its decimal sign a point whatever the locale; NaN for none.
inline double number_of(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  double number = 0.0;
  return std::from_chars(text.data(), text.data() + text.size(), number).ec == std::errc{}
             ? number
             : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace moundwork::support
