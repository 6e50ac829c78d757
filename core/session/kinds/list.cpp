// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/kinds/list.h"

#include <algorithm>
#include <array>

namespace moundwork::session {

// One line a kind, whose folder defines `const Kind& NAME_kind()`.
#define MOUNDWORK_EACH_KIND(KIND) \
  KIND(plate)                     \
  KIND(radar)                     \
  KIND(catch_microphone)          \
  KIND(trigger)                   \
  KIND(light_gate)

#define MOUNDWORK_DECLARE(name) [[nodiscard]] const Kind& name##_kind();
MOUNDWORK_EACH_KIND(MOUNDWORK_DECLARE)
#undef MOUNDWORK_DECLARE

std::span<const Kind* const> kinds() {
#define MOUNDWORK_ENTRY(name) &name##_kind(),
  static const std::array all{MOUNDWORK_EACH_KIND(MOUNDWORK_ENTRY)};
#undef MOUNDWORK_ENTRY
  return all;
}

const Kind* kind_of(std::string_view key) {
  const auto all = kinds();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const Kind* kind) { return kind->key == key; });
  return found == all.end() ? nullptr : *found;
}

std::vector<EventSource> event_sources(const Session& session) {
  std::vector<EventSource> sources;
  for (const Kind* kind : kinds())
    if (kind->events)
      for (std::string& name : kind->events->names(session))
        sources.push_back({kind, std::move(name)});
  return sources;
}

}  // namespace moundwork::session
