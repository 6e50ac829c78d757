// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/live_follow.h"

namespace moundwork::desk {

QString follow_words(int shown, int newest) {
  if (newest == 0) return QStringLiteral("The first throw shows by itself.");
  if (shown == newest) return QStringLiteral("Following the newest throw.");
  return QStringLiteral("Throw %1 stays in view and takes the keys. The newest is throw %2.")
      .arg(shown)
      .arg(newest);
}

}  // namespace moundwork::desk
