// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/output/pseudonym.h"
#include "core/summary/content.h"

namespace moundwork::summary {

/// Codes in place of athlete and session, and free texts without names, as far as `codes` knows the
/// athletes. An age that was told from the date of birth stays.
void pseudonymise(Source& source, const output::Pseudonyms& codes);

}  // namespace moundwork::summary
