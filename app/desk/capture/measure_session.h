// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "app/desk/work/jobs.h"
#include "core/base/result.h"
#include "core/pitch/analysis.h"

namespace moundwork::desk {

/// Analyses a session and keeps the results beside it; long work, for Jobs.
[[nodiscard]] Result<pitch::Analysis> measure_session(const std::filesystem::path& file,
                                                      JobControl& control);

}  // namespace moundwork::desk
