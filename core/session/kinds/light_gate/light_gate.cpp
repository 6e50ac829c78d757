// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/kinds/kind.h"

namespace moundwork::session {

/// A beam across the throwing line that says when something breaks it.
const Kind& light_gate_kind();
const Kind& light_gate_kind() {
  static const Kind kind = measured_kind(
      "light_gate",
      {{"position", Dimension::length, "m", true},
       {"height", Dimension::length, "m", true},
       {"delay", Dimension::time, "s", false},
       {"tick_rate", Dimension::frequency, "Hz", false}},
      "crossings",
      {{"count", "1", "crossings since the light gate was switched on, by its own count"},
       {"ticks", "1", "the light gate's counter at the crossing, as it sent it"}});
  return kind;
}

}  // namespace moundwork::session
