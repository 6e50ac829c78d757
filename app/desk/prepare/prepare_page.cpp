// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/prepare_page.h"

namespace moundwork::desk {

PreparePage::PreparePage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent), state_(state), jobs_(jobs) {}

QString PreparePage::hint() const {
  return QStringLiteral("Who throws today, and is the station ready?");
}

}  // namespace moundwork::desk
