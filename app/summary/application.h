// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::summary {

/// Fonts and pages need an application object: makes one without a screen for a program that has
/// none, and leaves one that is there alone.
void ensure_application();

}  // namespace moundwork::summary
