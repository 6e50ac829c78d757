// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork {

/// Numbers with a point, and the system's messages in the language of the sentences they end up in.
/// A toolkit's application object takes both from the user's surroundings: called after one is
/// made.
void keep_program_locale();

}  // namespace moundwork
