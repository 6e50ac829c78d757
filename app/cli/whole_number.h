// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <charconv>
#include <cstdint>
#include <string>

namespace moundwork::cli {

/// For CLI::Validator: empty where `text` is a whole number from 0 on that a program can hold. The
/// library's own conversion takes -1 for the greatest number there is.
[[nodiscard]] inline std::string whole_number(const std::string& text) {
  std::uint64_t number = 0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (problem == std::errc() && end == text.data() + text.size()) return {};
  return "'" + text + "' is no whole number from 0 on";
}

}  // namespace moundwork::cli
