// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/plate/geometry.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <algorithm>

namespace moundwork::plate {

Result<PlateFrame> plate_frame(const PlateDescription& plate) {
  const auto& c = plate.corners;
  for (const auto& corner : c)
    if (!corner.allFinite()) return fail("plate corners", "a coordinate is not a finite number");
  const Eigen::Vector3d along = c[0] + c[3] - c[1] - c[2];
  const Eigen::Vector3d across = c[0] + c[1] - c[2] - c[3];
  const Eigen::Vector3d normal = along.cross(across);
  // Half a square centimetre: no force plate is smaller, so this can only be a mistake.
  constexpr double least_area_m2 = 5e-5;
  if (!(normal.norm() / 4.0 > least_area_m2))
    return fail("plate corners", "the four corners do not span a plate",
                "give them in the order (+x+y), (-x+y), (-x-y), (+x-y)");
  // Nor is one longer than a lane of them: metres that were meant as millimetres.
  constexpr double longest_edge_m = 10.0;
  if (const double longest = std::max(along.norm(), across.norm()) / 2.0; longest > longest_edge_m)
    return fail("plate corners", fmt::format("an edge would be {:.6g} m long", longest),
                "check the unit of length");
  // Measured corners are never quite in one plane, and then no rule for the axes is the right one.
  // The edges that meet in the first corner are common practice with C3D files, so that forces
  // agree with those of other readers; the mean of opposite edges differs by the misfit over the
  // plate's width (0.3 mm in 464 mm: 0.03 % of the vertical force).
  const Eigen::Vector3d first_edge = c[0] - c[1];
  const Eigen::Vector3d first_normal = first_edge.cross(c[0] - c[3]);
  if (!(first_normal.norm() > least_area_m2) || first_normal.dot(normal) <= 0.0)
    return fail("plate corners", "the four corners do not span a plate",
                "give them in the order (+x+y), (-x+y), (-x-y), (+x-y)");
  PlateFrame frame;
  frame.rotation.col(0) = first_edge.normalized();
  frame.rotation.col(2) = first_normal.normalized();
  frame.rotation.col(1) = frame.rotation.col(2).cross(frame.rotation.col(0));
  frame.centre = (c[0] + c[1] + c[2] + c[3]) / 4.0;
  frame.up = frame.rotation(2, 2) < 0 ? Eigen::Vector3d(-frame.rotation.col(2))
                                      : Eigen::Vector3d(frame.rotation.col(2));
  frame.half_size = {along.norm() / 4.0, across.norm() / 4.0};
  // Steeper than 60 degrees cannot be stood on: the lab's up axis was named wrongly.
  constexpr double least_up = 0.5;
  if (frame.up.z() < least_up)
    return fail("plate corners", "the plate stands upright in the lab frame",
                "check which axis points up");
  return frame;
}

int component_count(PlateType type) { return type == PlateType::eight_component ? 8 : 6; }

}  // namespace moundwork::plate
