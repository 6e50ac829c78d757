// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/pitch/analysis.h"

namespace moundwork::cli {

/// A session's throws as a table for people: the numbers that matter with their standard
/// uncertainty, flags in words below. `speed_unit` is m/s, km/h or mph.
[[nodiscard]] std::string throw_table(const pitch::Analysis& analysis, const std::string& session,
                                      const std::string& athlete, const std::string& speed_unit);

}  // namespace moundwork::cli
