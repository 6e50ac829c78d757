// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "core/c3d/force_platforms.h"

namespace moundwork::intake {

/// A plate and what it carried in a recording.
struct CarriedForce {
  const c3d::ForcePlatform* plate = nullptr;
  Eigen::ArrayX3d force;  ///< samples x 3, N, laboratory frame, less the plate's baseline
};

/// The reading of an empty plate, N, where the file gives none: a twentieth of a recording's
/// vertical forces is lower.
[[nodiscard]] double empty_reading(const CarriedForce& carried);

/// A foot's landing on plates that were empty, while others were stood on.
struct HardLanding {
  Eigen::Index sample = 0;                 ///< a plate passes a fifth of the weight
  double braking = 0.0;                    ///< N, the most that the empty plates together braked
  const c3d::ForcePlatform* on = nullptr;  ///< the empty plate that carried most
  const c3d::ForcePlatform* stood_on = nullptr;  ///< the other one that carried most before
};

/// Of all landings in a recording the one that brakes hardest; none where no plate is landed on
/// and brakes 15 % of the weight while others have carried a fifth of it for 0.3 s. A step of
/// somebody who walks over the plates is a landing too, but brakes far less than a throw's.
/// `may_land` and `may_stand` say for each plate whether the lead and the back foot may have it.
/// `weight` in N, `rate` in Hz.
[[nodiscard]] std::optional<HardLanding> hardest_landing(const std::vector<CarriedForce>& plates,
                                                         const std::vector<bool>& may_land,
                                                         const std::vector<bool>& may_stand,
                                                         double weight, double rate);

}  // namespace moundwork::intake
