// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "core/base/result.h"
#include "core/intake/facts.h"
#include "core/session/session.h"
#include "drivers/station/station.h"

namespace moundwork::drivers {

/// The session of a recording that is about to begin into `path`: the station's instruments, the
/// facts that people tell, and a foot line from foot length or height where no stance was measured.
/// Fails in a sentence on a fact that cannot be, as an import does.
[[nodiscard]] Result<session::Session> recording_session(const Station& station,
                                                         const intake::Facts& facts,
                                                         const std::filesystem::path& path);

}  // namespace moundwork::drivers
