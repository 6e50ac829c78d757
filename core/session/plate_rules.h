// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/result.h"
#include "core/session/session.h"

namespace moundwork::session {

/// What plates that serve a foot must be for their forces to be summed: no channel read twice, no
/// two plates of one foot in one place, a sign of the reaction that is 1 or -1, accuracies that are
/// numbers and not negative. Fails with the first that is otherwise; `file` begins the sentence.
[[nodiscard]] Result<void> check_plates(const Session& session, const std::string& file);

/// Whether the middle of one plate's surface lies on the other's; not where either's corners span
/// none.
[[nodiscard]] bool in_one_place(const plate::PlateDescription& one,
                                const plate::PlateDescription& other);

}  // namespace moundwork::session
