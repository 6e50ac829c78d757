// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <QString>
#include <array>

#include "core/base/result.h"

namespace moundwork::desk {

using Corners = std::array<Eigen::Vector3d, 4>;

/// A plate's place as one measures it with tape and level, instead of by its corners. Lab frame.
struct PlatePlace {
  Eigen::Vector3d centre = Eigen::Vector3d::Zero();  ///< of the surface, m
  double length = 0.6;                               ///< along the throwing line, m
  double width = 0.6;                                ///< across it, m
  double fall = 0.0;  ///< rad, positive when the surface falls toward home
  double turn = 0.0;  ///< rad, about the vertical, positive from home toward the first-base side
  double lean = 0.0;  ///< rad, positive when the first-base side is higher
};

/// Fails where the corners span no plate. Corners that are not quite a rectangle give the nearest.
[[nodiscard]] Result<PlatePlace> place_of(const Corners& corners);

/// The corners of a plate at `place`, in the order in which `numbered` has them: moving a plate
/// does not turn its own axes about. `numbered` must span a plate.
[[nodiscard]] Corners corners_at(const PlatePlace& place, const Corners& numbered);

/// Where a quadrant of a plate lies, in words: "home, first-base side".
[[nodiscard]] QString quadrant_words(const Corners& corners, int quadrant);

}  // namespace moundwork::desk
