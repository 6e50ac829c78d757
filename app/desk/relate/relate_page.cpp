// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/relate_page.h"

namespace moundwork::desk {

RelatePage::RelatePage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent), state_(state), jobs_(jobs) {}

QString RelatePage::hint() const { return QStringLiteral("What goes with ball speed."); }

}  // namespace moundwork::desk
