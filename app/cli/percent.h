// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

#include "core/base/result.h"

namespace moundwork::cli {

/// A share as people type it, "45%" or "45 %", as a number of 0 to 1. Without the sign it is
/// refused: 0.5 may be meant as a half or as half a percent. `where` names the option.
[[nodiscard]] Result<double> percent(std::string_view text, std::string_view where);

}  // namespace moundwork::cli
