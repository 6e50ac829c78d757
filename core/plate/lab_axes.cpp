// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/plate/lab_axes.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <optional>
#include <string>

namespace moundwork::plate {
namespace {

std::optional<Eigen::Vector3d> axis(std::string_view text) {
  double sign = 1.0;
  if (text.starts_with('+') || text.starts_with('-')) {
    if (text.front() == '-') sign = -1.0;
    text.remove_prefix(1);
  }
  if (text == "x") return sign * Eigen::Vector3d::UnitX();
  if (text == "y") return sign * Eigen::Vector3d::UnitY();
  if (text == "z") return sign * Eigen::Vector3d::UnitZ();
  return std::nullopt;
}

}  // namespace

Result<Eigen::Matrix3d> lab_axes(std::string_view home, std::string_view up,
                                 std::string_view where) {
  const auto x = axis(home);
  const auto z = axis(up);
  if (!x || !z)
    return fail(std::string(where), fmt::format("'{}' is not an axis", x ? up : home),
                "write one of +x, -x, +y, -y, +z, -z");
  if (x->dot(*z) != 0.0)
    return fail(std::string(where),
                fmt::format("home '{}' and up '{}' lie along the same line", home, up));
  Eigen::Matrix3d rotation;
  rotation.row(0) = *x;
  rotation.row(1) = z->cross(*x);
  rotation.row(2) = *z;
  return rotation;
}

}  // namespace moundwork::plate
