// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/review/review_page.h"

namespace moundwork::desk {

ReviewPage::ReviewPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent), state_(state), jobs_(jobs) {}

QString ReviewPage::hint() const {
  return QStringLiteral("Look at a throw, and put right what was found wrongly.");
}

}  // namespace moundwork::desk
