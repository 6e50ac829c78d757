// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>

#include "core/pitch/foot_forces.h"
#include "core/pitch/settings.h"

namespace moundwork::pitch {

/// How a foot's centre of pressure moved; NaN where the time is too short to tell.
struct Sway {
  double path_length = std::numeric_limits<double>::quiet_NaN();  ///< m, freed of noise
  double area = std::numeric_limits<double>::quiet_NaN();         ///< m^2, 95 % prediction ellipse
};

/// Over session times [from, to], s, low-passed at the settings' `sway_low_pass`.
[[nodiscard]] Sway sway_of(const FootForces& foot, double from, double to,
                           const Settings& settings);

}  // namespace moundwork::pitch
