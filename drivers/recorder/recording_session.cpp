// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/recording_session.h"

#include "core/base/wall_time.h"
#include "core/session/start.h"

namespace moundwork::drivers {

Result<session::Session> recording_session(const Station& station, const intake::Facts& facts,
                                           const std::filesystem::path& path) {
  session::Session session = station.session;
  const auto zone = intake::zone_of(facts, path);
  if (!zone) return tl::make_unexpected(zone.error());
  session::set_start(session, wall_now(), *zone);
  const std::string surface = session.conditions.surface;
  if (auto applied = intake::apply(facts, session); !applied)
    return tl::make_unexpected(applied.error());
  if (session.conditions.surface.empty()) session.conditions.surface = surface;
  return session;
}

}  // namespace moundwork::drivers
