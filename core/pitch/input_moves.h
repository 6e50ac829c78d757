// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/pitch/propagation.h"

/// The plates', clocks' and people's parts in a throw's uncertainty, each an input moved by its
/// standard uncertainty.
namespace moundwork::pitch {

/// One foot of a throw and its parts.
struct InputFoot {
  foot::FootForces ThrowData::*forces;
  FootParts parts;
};
inline constexpr InputFoot back_foot{&ThrowData::back, part::back};
inline constexpr InputFoot lead_foot{&ThrowData::lead, part::lead};

void move_calibration(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs);
void move_zero(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs);

/// A person puts an event on a plate's trace, so it goes with the clock of that foot's first plate,
/// as does a release whose trigger is wired to that plate's device.
void move_clocks(Propagation& propagation, const InputUncertainty& inputs);

/// Of devices other than that of a foot's first plate, all of its plates on one together.
void move_own_clocks(Propagation& propagation, const InputFoot& foot, const FootInputs& inputs);

/// Events put by hand, each by its u.
void move_put_events(Propagation& propagation, const EventTimes& put, const EventTimes& u);

}  // namespace moundwork::pitch
