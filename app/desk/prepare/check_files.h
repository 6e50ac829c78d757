// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "app/desk/state/lab_folder.h"
#include "core/base/result.h"
#include "core/base/wall_time.h"
#include "drivers/check/checks.h"

namespace moundwork::desk {

/// A line of a sheet with the wall time (ISO 8601, UTC) of its check.
struct KeptCheckLine {
  drivers::CheckLine line;
  std::string made;
};

/// Adds a sheet to the file of its day in the lab, where `moundwork check` adds its own.
[[nodiscard]] Result<void> keep_sheet(const LabFolder& lab, const drivers::CheckSheet& sheet,
                                      WallTime made);

/// The last result of each check; of the known weight, of each plate and point. Lines that cannot
/// be read (a crash may have cut the last) are passed over. Those that `moundwork check` put beside
/// the station file count too.
[[nodiscard]] std::vector<KeptCheckLine> last_results(const LabFolder& lab);

}  // namespace moundwork::desk
