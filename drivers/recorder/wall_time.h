// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

namespace moundwork::drivers {

using WallTime = std::chrono::time_point<std::chrono::system_clock, std::chrono::microseconds>;

/// ISO 8601 in UTC with microseconds: 2026-04-18T09:30:00.000000Z.
[[nodiscard]] std::string iso_text(WallTime time);
/// The same back, with or without a fraction; nothing for other text.
[[nodiscard]] std::optional<WallTime> from_iso_text(std::string_view text);

}  // namespace moundwork::drivers
