// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include "core/session/session.h"

namespace moundwork::desk {

/// "Radar: 20.50 m in front of the rubber, 0.40 m to the first-base side, 1.20 m high, 1.1° off the
/// line".
[[nodiscard]] QString radar_words(const session::Radar& radar);

}  // namespace moundwork::desk
