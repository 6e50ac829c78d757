// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/session/session.h"

namespace moundwork::session {

/// "back plate" and "lead plate", as people read it.
[[nodiscard]] std::string plate_name(PlateRole role);

}  // namespace moundwork::session
