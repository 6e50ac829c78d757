// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/start.h"

#include "core/base/time_zone.h"

namespace moundwork::session {
namespace {

void set_zone(Session& session, WallTime started, const std::string& zone, bool assumed) {
  const auto offset = utc_offset(started, zone);
  session.zone = {zone, offset ? static_cast<int>(offset->count()) : 0, assumed};
}

}  // namespace

void set_start(Session& session, WallTime started, const std::string& zone) {
  session.started = iso_text(started);
  set_zone(session, started, zone, false);
}

void assume_zone(Session& session, const std::string& zone) {
  set_zone(session, from_iso_text(session.started).value_or(WallTime{}), zone, true);
}

std::string local_start(const std::string& started, const SessionZone& zone) {
  const auto time = from_iso_text(started);
  return time ? moundwork::local_text(*time, std::chrono::seconds(zone.utc_offset_s)) : started;
}

std::string local_start(const Session& session) {
  return local_start(session.started, session.zone);
}

std::string day_of(const std::string& started, const SessionZone& zone) {
  constexpr std::size_t day_length = 10;  // 2026-07-04
  return local_start(started, zone).substr(0, day_length);
}

std::string day_of(const Session& session) { return day_of(session.started, session.zone); }

std::string local_text(const std::string& time, const SessionZone& zone) {
  const auto read = from_iso_text(time);
  if (!read) return time;
  return moundwork::local_text(
      *read, utc_offset(*read, zone.name).value_or(std::chrono::seconds(zone.utc_offset_s)));
}

}  // namespace moundwork::session
