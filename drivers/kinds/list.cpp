// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/list.h"

#include <array>

namespace moundwork::drivers {

// One line a kind, whose folder defines `const StationKind& NAME_station()`.
#define MOUNDWORK_EACH_KIND(KIND) \
  KIND(plate)                     \
  KIND(radar)                     \
  KIND(catch_microphone)          \
  KIND(trigger)                   \
  KIND(light_gate)

#define MOUNDWORK_DECLARE(name) [[nodiscard]] const StationKind& name##_station();
MOUNDWORK_EACH_KIND(MOUNDWORK_DECLARE)
#undef MOUNDWORK_DECLARE

std::span<const StationKind* const> station_kinds() {
#define MOUNDWORK_ENTRY(name) &name##_station(),
  static const std::array all{MOUNDWORK_EACH_KIND(MOUNDWORK_ENTRY)};
#undef MOUNDWORK_ENTRY
  return all;
}

std::vector<const StationKind*> checked_kinds() {
  std::vector<const StationKind*> kinds;
  for (const StationKind* kind : station_kinds())
    if (kind->check) kinds.push_back(kind);
  return kinds;
}

}  // namespace moundwork::drivers
