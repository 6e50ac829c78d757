// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/intake/c3d_import.h"
#include "core/intake/facts.h"

namespace moundwork::intake {

/// Writes a session file from delimited text and its settings file (docs/delimited-import.md).
/// Streams, so memory does not grow with the table. Rows with an empty or missing cell, and jumps
/// of the time column, become gaps. `facts` win over the settings. Nothing is written on failure.
[[nodiscard]] Result<ImportReport> import_delimited(const std::filesystem::path& table,
                                                    const std::filesystem::path& settings,
                                                    const Facts& facts,
                                                    const std::filesystem::path& target,
                                                    const Progress& progress = {});

}  // namespace moundwork::intake
