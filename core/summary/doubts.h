// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/summary/content.h"

namespace moundwork::summary {

/// What could not be measured and what is in doubt, in plain words: one line a kind, with its
/// throws; what takes numbers away first.
[[nodiscard]] std::vector<Doubt> doubts_of(const CountedThrows& counted);

}  // namespace moundwork::summary
