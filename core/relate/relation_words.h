// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/relate/relation.h"

namespace moundwork::relate {

/// One or two sentences for a coach: within athletes, then between them.
[[nodiscard]] std::string say(const Relation& relation, const Report& report,
                              const Settings& settings);

}  // namespace moundwork::relate
