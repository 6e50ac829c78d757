// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>

#include "core/model/waveform.h"

namespace moundwork::model {

/// What a foot stands on, be it of one plate or of several. `ground` is everything that is no
/// plate.
enum class Surface { back_plate, lead_plate, ground };

/// What one foot feels at an instant: lab frame, SI.
struct FootLoad {
  Eigen::Vector3d force = Eigen::Vector3d::Zero();  ///< ground reaction on the foot, N
  Eigen::Vector2d point = Eigen::Vector2d::Zero();  ///< centre of pressure, lab x and y, m
  double free_moment = 0.0;  ///< about the surface's normal, anticlockwise from above, N m
};

/// One foot on one surface over time: time in s on the session clock.
struct Contact {
  Surface surface = Surface::ground;
  double begin = 0.0;             ///< no force before
  double end = 0.0;               ///< nor after
  std::array<Waveform, 3> force;  ///< N
  std::array<Waveform, 2> point;  ///< m
  Waveform free_moment;           ///< N m
  /// m along lab x and y that its pressure lies on, evenly about `point`
  Eigen::Vector2d size = Eigen::Vector2d::Zero();

  [[nodiscard]] FootLoad load(double t) const {
    FootLoad load;
    if (t <= begin || t >= end) return load;
    load.force = {force[0](t), force[1](t), force[2](t)};
    load.point = {point[0](t), point[1](t)};
    load.free_moment = free_moment(t);
    return load;
  }
};

}  // namespace moundwork::model
