// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/session_plate.h"

#include <algorithm>

#include "core/session/plate_signal.h"

namespace moundwork::foot {

Result<SessionPlate> plate_of(const session::RowSource& reader, session::PlateRole role) {
  const auto& plates = reader.session().plates;
  const auto plate = std::find_if(plates.begin(), plates.end(),
                                  [role](const auto& one) { return one.role == role; });
  if (plate == plates.end())
    return fail(reader.name(),
                role == session::PlateRole::back ? "has no back plate" : "has no lead plate",
                "import it again and say which plate is which");
  auto clock = session::clock_of(reader, plate->device);
  if (!clock) return fail(reader.name(), clock.error().sentence());
  return SessionPlate{&*plate, std::move(*clock), {}};
}

Result<PlateWindow> window_around(const session::RowSource& reader, const SessionPlate& plate,
                                  double contact, const definitions::Settings& settings) {
  constexpr double back_foot_loaded = 0.5;  // s before contact
  return cut_window(reader, *plate.plate, plate.clock,
                    {contact - settings.window_before, contact + settings.window_after},
                    nearest_stretch(plate.unloaded, contact - back_foot_loaded, contact), settings);
}

}  // namespace moundwork::foot
