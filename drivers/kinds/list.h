// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "drivers/kinds/kind.h"

namespace moundwork::drivers {

/// Every kind, in the order in which a station file's tables are read: devices come before.
[[nodiscard]] std::span<const StationKind* const> station_kinds();

/// Those that bring a check of their own, beside those of drivers/check/checks.h.
[[nodiscard]] std::vector<const StationKind*> checked_kinds();

}  // namespace moundwork::drivers
