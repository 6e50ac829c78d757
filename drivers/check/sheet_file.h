// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

#include "core/base/result.h"
#include "core/base/wall_time.h"
#include "drivers/check/checks.h"

namespace moundwork::drivers {

/// The sheet of the day on which `time` falls in `zone`, for the station whose file lies in
/// `folder`: checks-2026-04-18.jsonl in its folder `checks` where there is one, as in a lab's
/// folder, else beside the station file. The window and the command line write the same one.
[[nodiscard]] std::filesystem::path sheet_of_day(const std::filesystem::path& folder, WallTime time,
                                                 const std::string& zone);

/// Adds what was found, as one line of JSON, to a sheet, which is only ever added to.
[[nodiscard]] Result<void> add_to_sheet(const std::filesystem::path& path, const CheckSheet& sheet,
                                        WallTime made);

}  // namespace moundwork::drivers
