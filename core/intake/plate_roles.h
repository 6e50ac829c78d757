// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/c3d/file.h"
#include "core/c3d/force_platforms.h"
#include "core/intake/facts.h"

namespace moundwork::intake {

/// Which foot each plate of a C3D recording serves.
struct PlateRoles {
  std::vector<const c3d::ForcePlatform*> back, lead;
  std::vector<const c3d::ForcePlatform*> others;  ///< read and serving none
  /// Of each foot's the one named first, or by whose load the others were found.
  const c3d::ForcePlatform* main_back = nullptr;
  const c3d::ForcePlatform* main_lead = nullptr;
};

/// Plates that the facts name serve that foot, and no others do. Where they name none of a foot,
/// the hardest landing of the recording tells: the plate landed on is the lead foot's, the one
/// stood on before is the back foot's; where there is no landing, the plate that is loaded first
/// (a fifth of the body weight) is the back foot's and the next the lead foot's. With them goes
/// every plate that carries something when that foot alone can have put it there: 2 % of the weight
/// in the last 0.4 s of the drive, or a force of 1 % of it more in the quarter of a second after
/// the landing than just before, the latter if it lies nearer to the lead foot's. What was decided
/// is added to `remarks`. Fails on a number that is no plate's, one plate for both feet, and where
/// no plate is loaded. `mass` in kg.
[[nodiscard]] Result<PlateRoles> plate_roles(const c3d::File& file,
                                             const std::vector<Result<c3d::ForcePlatform>>& plates,
                                             const Facts& facts, double mass,
                                             std::vector<std::string>& remarks);

}  // namespace moundwork::intake
