// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/desk/state/desk_state.h"

class QMenuBar;
class QWidget;

namespace moundwork::desk {

/// The menu of the user's choices: units, light or dark, who signs edits.
void make_choices_menu(QMenuBar& bar, DeskState& state, QWidget* window);

}  // namespace moundwork::desk
