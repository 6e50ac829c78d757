// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measured.h"
#include "core/session/session.h"

namespace moundwork::ball {

/// Drag of the day, 1/m, with its uncertainty from the drag coefficient and the air. Unknown air is
/// taken as 20 degrees Celsius at sea level with an uncertainty that covers most fields.
struct Air {
  Measured drag;         ///< k, 1/m
  Measured sound_speed;  ///< m/s
  bool assumed = false;  ///< whether the session said nothing
};
[[nodiscard]] Air air_of(const session::Conditions& conditions);
/// The same air for a ball of this mass (kg) and of a baseball's size: drag per metre goes with one
/// over the mass.
[[nodiscard]] Air for_ball(Air air, double mass);

/// Usual place of the release in the lab frame, m: an arm's reach ahead of the stride, on the
/// throwing side, at about the height of the head. Only angles are taken from it.
[[nodiscard]] Eigen::Vector3d usual_release_point(const session::Athlete& athlete);

/// Ball speed at release with what is known of how its error comes about.
struct BallSpeed {
  Measured speed;  ///< m/s
  double shared_u =
      0.0;  ///< m/s, part of u that is the same in all readings of a session, less drag
  double by_drag = 0.0;  ///< m/s per 1/m: how the speed moves with the drag assumed
};

/// Ball speed at release from a radar's reading (m/s): divided by the cosine of the angle between
/// flight and line of sight where the radar saw the ball, brought back over the way there by drag.
[[nodiscard]] BallSpeed speed_from_reading(double reading, const session::Radar& radar,
                                           const session::Athlete& athlete, const Air& air);

}  // namespace moundwork::ball
