// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/summaries/summaries_page.h"

namespace moundwork::desk {

SummariesPage::SummariesPage(DeskState& state, Jobs& jobs, QWidget* parent)
    : Page(parent), state_(state), jobs_(jobs) {}

QString SummariesPage::hint() const { return QStringLiteral("What the athlete takes home."); }

}  // namespace moundwork::desk
