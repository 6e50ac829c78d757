// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "core/pitch/analysed_throw.h"

namespace moundwork::cli {

/// A throw for other programs, alike whether it was measured live or from its file: events and
/// quantities by key with value and u (and with `budget` what each source adds to u), those that
/// were not measured, candidates of the release, flags, edits.
[[nodiscard]] nlohmann::ordered_json throw_json(const pitch::AnalysedThrow& thrown, bool budget);

}  // namespace moundwork::cli
