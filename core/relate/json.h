// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "core/relate/change.h"
#include "core/relate/cue.h"
#include "core/relate/relation.h"
#include "core/relate/repeat.h"

/// The reports as JSON (docs/relate.md lists the keys). What is unknown is null, never a number.
namespace moundwork::relate {

[[nodiscard]] nlohmann::ordered_json to_json(const Report& report, const Settings& settings);
[[nodiscard]] nlohmann::ordered_json to_json(const CueReport& report);
[[nodiscard]] nlohmann::ordered_json to_json(const std::vector<Repeatability>& report);
[[nodiscard]] nlohmann::ordered_json to_json(const ChangeReport& report);

}  // namespace moundwork::relate
