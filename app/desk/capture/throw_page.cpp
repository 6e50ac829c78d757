// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/throw_page.h"

namespace moundwork::desk {

ThrowPage::ThrowPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent), state_(state), jobs_(jobs) {}

QString ThrowPage::hint() const { return QStringLiteral("Record, and watch each throw."); }

}  // namespace moundwork::desk
