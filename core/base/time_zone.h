// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/wall_time.h"

/// Time zones by their IANA names ("America/Los_Angeles"), from the database of the system. Safe in
/// threads.
namespace moundwork {

/// Whether this computer's database has a zone of that name. A name is never taken as a path.
[[nodiscard]] bool is_zone(const std::string& name);

/// The zone that this computer's clock shows: the variable TZ where it names one, else the
/// system's; "UTC" where neither says a zone that the database has.
[[nodiscard]] std::string computer_zone();

/// How far clocks in a zone are ahead of UTC at a time; nothing for a name that is no zone.
[[nodiscard]] std::optional<std::chrono::seconds> utc_offset(WallTime time,
                                                             const std::string& zone);

/// What a clock in the zone shows: 2026-04-18T11:30:00; UTC where the name is no zone's.
[[nodiscard]] std::string local_text(WallTime time, const std::string& zone);

/// The calendar's day there: 2026-04-18.
[[nodiscard]] std::string day_in(WallTime time, const std::string& zone);

}  // namespace moundwork
