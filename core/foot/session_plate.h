// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/window.h"
#include "core/foot/zero.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"

namespace moundwork::foot {

/// A plate of a session that is open in a reader.
struct SessionPlate {
  const session::Plate* plate = nullptr;  ///< the reader's
  std::string ordinal;  ///< what stands before "plate" (core/session/plate_name); empty of no foot
  session::SampleClock clock;
  std::vector<UnloadedStretch> unloaded;  ///< where it was seen empty; none until traced
};

/// Those under one foot, in the session's order. Fails where there is none. The reader must outlive
/// what is returned.
[[nodiscard]] Result<std::vector<SessionPlate>> plates_of(const session::RowSource& reader,
                                                          session::PlateRole role);
/// Those that serve no foot; mostly none.
[[nodiscard]] Result<std::vector<SessionPlate>> other_plates(const session::RowSource& reader);

/// What the plate recorded around a throw: lab frame, tared by the stretch nearest before the foot
/// loads it, full rate, not filtered. `contact`: lead contact, session time, s.
[[nodiscard]] Result<PlateWindow> window_around(const session::RowSource& reader,
                                                const SessionPlate& plate, double contact,
                                                const definitions::Settings& settings);

}  // namespace moundwork::foot
