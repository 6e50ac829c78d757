// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>

#include "core/base/result.h"

namespace moundwork::plate {

/// The C3D standard's FORCE_PLATFORM types (C3D user guide), kept with its numbers.
enum class PlateType : int {
  centre_of_pressure = 1,   ///< Fx Fy Fz Px Py Tz
  six_component = 2,        ///< Fx Fy Fz Mx My Mz at the electrical origin
  eight_component = 3,      ///< Fx12 Fx34 Fy14 Fy23 Fz1 Fz2 Fz3 Fz4
  six_component_matrix = 4  ///< as six_component after a full 6 x 6 sensitivity matrix
};

/// What a plate is, apart from any sample: all lengths in m, forces in N, moments in N m.
struct PlateDescription {
  PlateType type = PlateType::six_component;
  /// Plate axes. Types 2 and 4: from the electrical origin to the surface centre's frame as the
  /// C3D standard defines ORIGIN. Type 3: (a, b, az0). Unused for type 1.
  Eigen::Vector3d origin = Eigen::Vector3d::Zero();
  /// Lab frame: the plate's quadrants (+x+y), (-x+y), (-x-y), (+x-y) in plate axes.
  std::array<Eigen::Vector3d, 4> corners{};
  /// From scaled channels to the type's components in N and N m (m for Px, Py): identity unless the
  /// plate has a sensitivity matrix. Rows: components; columns: channels.
  Eigen::MatrixXd sensitivity = Eigen::MatrixXd::Identity(6, 6);
  /// +1 when the components are already the reaction on the athlete, -1 when they are the
  /// athlete's action on the plate.
  double reaction_sign = -1.0;
};

/// Where the plate's own axes lie in the lab.
struct PlateFrame {
  Eigen::Matrix3d rotation;   ///< columns: plate x, y, z in lab axes
  Eigen::Vector3d centre;     ///< surface centre, lab, m
  Eigen::Vector3d up;         ///< unit normal of the surface, pointing up in the lab
  Eigen::Vector2d half_size;  ///< along plate x and y, m
};

/// Fails when the corners do not span a plate (equal, collinear, not finite) or it stands upright.
[[nodiscard]] Result<PlateFrame> plate_frame(const PlateDescription& plate);

/// Number of components the type reads: 6, or 8 for type 3.
[[nodiscard]] int component_count(PlateType type);

}  // namespace moundwork::plate
