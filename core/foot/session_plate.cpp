// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/session_plate.h"

#include <algorithm>
#include <utility>

#include "core/session/plate_name.h"
#include "core/session/plate_signal.h"

namespace moundwork::foot {

namespace {

Result<SessionPlate> opened(const session::RowSource& reader, const session::Plate& plate,
                            std::string ordinal) {
  auto clock = session::clock_of(reader, plate.device);
  if (!clock) return fail(reader.name(), clock.error().sentence());
  return SessionPlate{&plate, std::move(ordinal), std::move(*clock), {}};
}

}  // namespace

Result<std::vector<SessionPlate>> plates_of(const session::RowSource& reader,
                                            session::PlateRole role) {
  const session::Session& session = reader.session();
  std::vector<SessionPlate> found;
  for (std::size_t i = 0; i < session.plates.size(); ++i) {
    if (session.plates[i].role != role) continue;
    std::string ordinal = session::plate_ordinal(session, i);
    // A device's clock takes as long to find as its samples to read.
    const auto same_device = std::find_if(found.begin(), found.end(), [&](const SessionPlate& one) {
      return one.plate->device == session.plates[i].device;
    });
    if (same_device != found.end()) {
      found.push_back({&session.plates[i], std::move(ordinal), same_device->clock, {}});
      continue;
    }
    auto plate = opened(reader, session.plates[i], std::move(ordinal));
    if (!plate) return tl::make_unexpected(plate.error());
    found.push_back(std::move(*plate));
  }
  if (found.empty())
    return fail(reader.name(),
                role == session::PlateRole::back ? "has no back plate" : "has no lead plate",
                "import it again and say which plate is which");
  return found;
}

Result<std::vector<SessionPlate>> other_plates(const session::RowSource& reader) {
  const session::Session& session = reader.session();
  std::vector<SessionPlate> found;
  for (std::size_t i = 0; i < session.other_plates.size(); ++i) {
    auto plate = opened(reader, session.other_plates[i], {});
    if (!plate) return tl::make_unexpected(plate.error());
    found.push_back(std::move(*plate));
  }
  return found;
}

Result<PlateWindow> window_around(const session::RowSource& reader, const SessionPlate& plate,
                                  double contact, const definitions::Settings& settings) {
  constexpr double back_foot_loaded = 0.5;  // s before contact
  return cut_window(reader, *plate.plate, plate.clock,
                    {contact - settings.window_before, contact + settings.window_after},
                    nearest_stretch(plate.unloaded, contact - back_foot_loaded, contact), settings);
}

}  // namespace moundwork::foot
