// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/relate/change.h"
#include "core/relate/cue.h"
#include "core/relate/relation.h"
#include "core/relate/repeat.h"

/// The reports as text for a terminal: a table, the lines that may be said, the notes.
namespace moundwork::relate {

[[nodiscard]] std::string to_text(const Report& report, const Settings& settings);
[[nodiscard]] std::string to_text(const CueReport& report, const Settings& settings);
[[nodiscard]] std::string to_text(const std::vector<Repeatability>& report,
                                  const Settings& settings);
[[nodiscard]] std::string to_text(const ChangeReport& report);

}  // namespace moundwork::relate
