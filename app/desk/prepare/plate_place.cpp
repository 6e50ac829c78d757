// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/plate_place.h"

#include <Eigen/Geometry>
#include <cmath>

#include "core/plate/geometry.h"

namespace moundwork::desk {
namespace {

/// The plate's own two directions, named by where they point: `along` to home, `across` to the
/// first-base side, and for each corner on which side of the centre it lies.
struct Sides {
  Eigen::Vector3d along, across, up;
  double length = 0.0, width = 0.0;
  std::array<double, 4> along_sign{}, across_sign{};
};

Result<Sides> sides_of(const Corners& corners) {
  plate::PlateDescription description;
  description.corners = corners;
  const auto frame = plate::plate_frame(description);
  if (!frame) return tl::make_unexpected(frame.error());
  const Eigen::Vector3d x = frame->rotation.col(0), y = frame->rotation.col(1);
  const bool x_is_along = std::abs(x.x()) >= std::abs(y.x());
  Sides sides;
  sides.along = x_is_along ? x : y;
  if (sides.along.x() < 0.0) sides.along = -sides.along;
  sides.up = frame->up;
  sides.across = sides.up.cross(sides.along);
  sides.length = 2.0 * frame->half_size(x_is_along ? 0 : 1);
  sides.width = 2.0 * frame->half_size(x_is_along ? 1 : 0);
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d arm = corners[i] - frame->centre;
    sides.along_sign[i] = arm.dot(sides.along) < 0.0 ? -1.0 : 1.0;
    sides.across_sign[i] = arm.dot(sides.across) < 0.0 ? -1.0 : 1.0;
  }
  return sides;
}

}  // namespace

Result<PlatePlace> place_of(const Corners& corners) {
  const auto sides = sides_of(corners);
  if (!sides) return tl::make_unexpected(sides.error());
  PlatePlace place;
  place.centre = 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
  place.length = sides->length;
  place.width = sides->width;
  place.turn = std::atan2(sides->along.y(), sides->along.x());
  place.fall = std::asin(-sides->along.z());
  place.lean = std::asin(sides->across.z() / std::cos(place.fall));
  return place;
}

Corners corners_at(const PlatePlace& place, const Corners& numbered) {
  // Turn about z, then fall about the turned y, then lean about the plate's own long axis.
  const Eigen::Matrix3d rotation = (Eigen::AngleAxisd(place.turn, Eigen::Vector3d::UnitZ()) *
                                    Eigen::AngleAxisd(place.fall, Eigen::Vector3d::UnitY()) *
                                    Eigen::AngleAxisd(place.lean, Eigen::Vector3d::UnitX()))
                                       .toRotationMatrix();
  const Sides sides = sides_of(numbered).value();
  Corners corners;
  for (std::size_t i = 0; i < 4; ++i)
    corners[i] = place.centre +
                 0.5 * place.length * sides.along_sign[i] * Eigen::Vector3d(rotation.col(0)) +
                 0.5 * place.width * sides.across_sign[i] * Eigen::Vector3d(rotation.col(1));
  return corners;
}

QString quadrant_words(const Corners& corners, int quadrant) {
  const auto sides = sides_of(corners);
  if (!sides) return {};
  const auto i = static_cast<std::size_t>(quadrant);
  return (sides->along_sign[i] > 0.0 ? QStringLiteral("home, ") : QStringLiteral("rubber, ")) +
         (sides->across_sign[i] > 0.0 ? QStringLiteral("first-base side")
                                      : QStringLiteral("third-base side"));
}

}  // namespace moundwork::desk
