// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>

#include "core/definitions/settings.h"
#include "core/foot/foot_forces.h"

namespace moundwork::pitch {

/// How a foot's centre of pressure moved; NaN where the time is too short to tell.
struct Sway {
  double path_length = std::numeric_limits<double>::quiet_NaN();  ///< m, freed of noise
  double area = std::numeric_limits<double>::quiet_NaN();         ///< m^2, 95 % prediction ellipse
};

/// Over session times [from, to], s, low-passed at the settings' `sway_low_pass`.
[[nodiscard]] Sway sway_of(const foot::FootForces& foot, double from, double to,
                           const definitions::Settings& settings);

}  // namespace moundwork::pitch
