// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fmt/args.h>
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "core/definitions/flag_catalogue.h"
#include "core/session/results.h"

namespace moundwork::session {

/// A flag in the catalogue's words with its values, given as fmt::arg("name", value). Throws
/// fmt::format_error where a value is missing that the words name.
template <class... Values>
[[nodiscard]] ResultFlag flagged(definitions::Flag flag, const Values&... values) {
  const definitions::FlagEntry& entry = definitions::entry(flag);
  return {std::string(entry.key),
          fmt::vformat(fmt::string_view(entry.detail.data(), entry.detail.size()),
                       fmt::make_format_args(values...))};
}

/// As people read them (definitions::place_in_lists).
[[nodiscard]] inline std::vector<ResultFlag> in_reading_order(std::vector<ResultFlag> flags) {
  std::stable_sort(flags.begin(), flags.end(), [](const ResultFlag& a, const ResultFlag& b) {
    return definitions::place_in_lists(a.key) < definitions::place_in_lists(b.key);
  });
  return flags;
}

}  // namespace moundwork::session
