// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/summary/content.h"

namespace moundwork::summary {

/// Ball speed against the quantity that goes with it most closely within this session, or why
/// there is none.
void add_against(const Source& source, const Context& context, Summary& summary);

}  // namespace moundwork::summary
