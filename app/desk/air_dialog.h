// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/desk/state/desk_state.h"
#include "core/base/result.h"

class QWidget;

namespace moundwork::desk {

/// Asks for the air of today and keeps it for the recordings to come.
[[nodiscard]] Result<void> ask_air(DeskState& state, QWidget* parent);

}  // namespace moundwork::desk
