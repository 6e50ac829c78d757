// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/summary/content.h"

namespace moundwork::summary {

/// What could not be measured and what is in doubt, in plain words: one line a kind, with its
/// throws; what takes numbers away first.
[[nodiscard]] std::vector<std::string> doubts_of(const CountedThrows& counted,
                                                 const session::Session& session);

}  // namespace moundwork::summary
