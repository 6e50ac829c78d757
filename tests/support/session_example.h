// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

namespace moundwork::support {

/// A session with every part present: two plates on two devices, radar, microphone, trigger.
[[nodiscard]] session::Session example_session();

}  // namespace moundwork::support
