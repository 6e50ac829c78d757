// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/index/index.h"
#include "app/summary/job.h"

namespace moundwork::summary {

/// Lists pages in the lab's index, so that they are found when an athlete is to be forgotten.
[[nodiscard]] Result<void> list_in(const index::Index& index, const MadePages& made);

}  // namespace moundwork::summary
