// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::index {

/// Qt looks for its database drivers through an application object: makes one for a program that
/// has none, and leaves one that is there alone.
void ensure_application();

}  // namespace moundwork::index
