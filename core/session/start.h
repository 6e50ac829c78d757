// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/wall_time.h"
#include "core/session/session.h"

/// When a session began, by the clock on the wall of its own place: its day and its athlete's age
/// are those of there, wherever the file is read, and one across midnight is of the day it began.
namespace moundwork::session {

/// Sets when and in which time zone a session begins.
void set_start(Session& session, WallTime started, const std::string& zone);

/// A session of a file that says no zone is taken to be of this one.
void assume_zone(Session& session, const std::string& zone);

/// `started` (ISO 8601, UTC) as shown there: 2026-07-04T19:30:00. Any other text as it is.
[[nodiscard]] std::string local_start(const std::string& started, const SessionZone& zone);
[[nodiscard]] std::string local_start(const Session& session);

/// 2026-07-04; empty where no start is noted.
[[nodiscard]] std::string day_of(const std::string& started, const SessionZone& zone);
[[nodiscard]] std::string day_of(const Session& session);

/// Any wall time (ISO 8601, UTC) as shown where the session was, summer time or not: by the zone
/// where this computer knows it, else by the clock of the session's start.
[[nodiscard]] std::string local_text(const std::string& time, const SessionZone& zone);

}  // namespace moundwork::session
