// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/session/kinds/kind.h"

namespace moundwork::session {

/// Every kind, in the order in which files are written and read.
[[nodiscard]] std::span<const Kind* const> kinds();

/// Null for a key that no kind has.
[[nodiscard]] const Kind* kind_of(std::string_view key);

/// An instrument of a session that sends events.
struct EventSource {
  const Kind* kind = nullptr;
  std::string name;
};

/// All of a session, kind by kind: their places number them for Writer and recorder.
[[nodiscard]] std::vector<EventSource> event_sources(const Session& session);

}  // namespace moundwork::session
