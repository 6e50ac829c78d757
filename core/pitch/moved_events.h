// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/definitions/settings.h"
#include "core/pitch/throw_data.h"
#include "core/session/edit_state.h"

namespace moundwork::pitch {

/// Events that a person put elsewhere than where they were found.
struct MovedEvents {
  EventTimes times = no_times();  ///< session time, s; NaN: as found
  EventTimes u{};                 ///< standard uncertainty, s

  void move(Event event, double time, double standard_uncertainty);
  [[nodiscard]] bool moved(Event event) const;
  [[nodiscard]] bool any() const;
};

/// From what the edits say; unknown event keys are left out. An event whose uncertainty was not
/// stated gets the settings' moved_event_u.
[[nodiscard]] MovedEvents moved_events(const session::EditState& state,
                                       const definitions::Settings& settings);

/// Only those within [from, to] (session time, s).
[[nodiscard]] MovedEvents within(const MovedEvents& moved, double from, double to);

}  // namespace moundwork::pitch
