// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/index/index.h"
#include "core/output/write_all.h"

namespace moundwork::index {

/// Lists exported files in the index, so that what is about an athlete is found when the athlete is
/// to be forgotten.
[[nodiscard]] Result<void> list_in(const Index& index, const output::Written& written);

}  // namespace moundwork::index
