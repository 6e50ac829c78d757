// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/live_mass.h"

#include "core/base/units.h"
#include "core/foot/steady_load.h"
#include "core/session/flagged.h"
#include "core/session/plate_name.h"
#include "core/time/session_clock.h"
#include "drivers/recorder/live_feet.h"

namespace moundwork::drivers {

std::optional<session::ResultFlag> doubt_of_mass(const LiveSnapshot& shown,
                                                 const session::Session& session,
                                                 const definitions::Settings& settings) {
  const double stated = session.athlete.mass.value;
  std::optional<session::ResultFlag> doubt;
  double most = settings.heavy_stand * stated * standard_gravity;
  for (const LiveTrace& seen : feet_of(shown).traces) {
    if (!seen.zeroed) continue;
    foot::LoadTrace trace;
    trace.start = session_time(seen.start);
    trace.vertical.resize(static_cast<Eigen::Index>(seen.bins.size()));
    for (std::size_t i = 0; i < seen.bins.size(); ++i)
      trace.vertical(static_cast<Eigen::Index>(i)) = seen.bins[i].force[2];
    const auto steady =
        foot::heaviest_steady(trace, settings.heavy_stand_length, settings.heavy_stand_range);
    if (!steady || !(steady->force > most)) continue;
    most = steady->force;
    doubt = session::flagged(definitions::Flag::heavier_than_stated,
                             fmt::arg("plates", session::plates_of_foot(session, seen.role)),
                             fmt::arg("carried", steady->force / standard_gravity),
                             fmt::arg("time", steady->time), fmt::arg("stated", stated));
  }
  return doubt;
}

}  // namespace moundwork::drivers
