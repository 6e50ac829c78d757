// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "core/session/schema.h"

namespace moundwork::session::companion {

/// Makes of a version 1 list what version 2 has: each edit gets an identity that follows from the
/// list alone, so that every reading gives the same; an undo names that in place of a row; a mark's
/// frames, which stood in a sentence, become numbers.
void as_version_2(std::vector<schema::EditRow>& rows);

}  // namespace moundwork::session::companion
