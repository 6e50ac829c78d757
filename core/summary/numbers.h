// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/summary/content.h"

namespace moundwork::summary {

/// Fills the five numbers that matter with what they mean, how they changed and where they stand,
/// and the notes beneath them.
void add_numbers(const Source& source, const Context& context, Summary& summary);

}  // namespace moundwork::summary
