// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include "app/desk/window.h"
#include "core/base/result.h"

namespace moundwork::desk {

/// Saves a picture of each page into a folder, for the documentation and for looking over. Waits
/// for running work first. `size` as "1366x768".
[[nodiscard]] Result<void> save_pictures(Window& window, const QString& folder,
                                         const QString& size);

}  // namespace moundwork::desk
