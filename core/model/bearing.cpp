// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/bearing.h"

#include <algorithm>
#include <cstddef>
#include <limits>

namespace moundwork::model {
namespace {

using session::PlateRole;

// Plates on one mound stand a few millimetres apart.
constexpr double widest_joint = 0.02;  // m

Eigen::AlignedBox2d outline(const session::Plate& plate) {
  Eigen::AlignedBox2d box;
  for (const Eigen::Vector3d& corner : plate.description.corners)
    box.extend(Eigen::Vector2d(corner.head<2>()));
  return box;
}

// Along one axis: the other lies beyond the greater side of the one, beside it, and adjoins.
bool follows(const Eigen::AlignedBox2d& one, const Eigen::AlignedBox2d& other, Eigen::Index axis) {
  const Eigen::Index across = 1 - axis;
  const double beside = std::min(one.max()[across], other.max()[across]) -
                        std::max(one.min()[across], other.min()[across]);
  return beside > widest_joint && other.center()[axis] > one.center()[axis] &&
         other.min()[axis] - one.max()[axis] < widest_joint;
}

}  // namespace

std::vector<Bearing> bearings(const session::Session& session) {
  constexpr double endless = std::numeric_limits<double>::infinity();
  std::vector<Eigen::AlignedBox2d> outlines;
  for (const session::Plate& plate : session.plates) outlines.push_back(outline(plate));
  std::vector<Bearing> all(outlines.size());
  bool feet_adjoin = false;
  for (Bearing& bearing : all)
    bearing.area = {Eigen::Vector2d::Constant(-endless), Eigen::Vector2d::Constant(endless)};
  for (std::size_t i = 0; i < all.size(); ++i)
    for (std::size_t j = 0; j < all.size(); ++j)
      for (const Eigen::Index axis : {Eigen::Index{0}, Eigen::Index{1}}) {
        if (!follows(outlines[i], outlines[j], axis)) continue;
        const double joint = 0.5 * (outlines[i].max()[axis] + outlines[j].min()[axis]);
        double& end = all[i].area.max()[axis];
        double& begin = all[j].area.min()[axis];
        end = std::min(end, joint);
        begin = std::max(begin, joint);
        feet_adjoin = feet_adjoin || session.plates[i].role != session.plates[j].role;
      }
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i].back = feet_adjoin || session.plates[i].role == PlateRole::back;
    all[i].lead = feet_adjoin || session.plates[i].role == PlateRole::lead;
  }
  return all;
}

std::optional<FootLoad> part_within(const FootLoad& foot, const Eigen::Vector2d& size,
                                    const Eigen::AlignedBox2d& area) {
  FootLoad part = foot;
  for (const Eigen::Index axis : {Eigen::Index{0}, Eigen::Index{1}}) {
    const double begin = foot.point[axis] - 0.5 * size[axis];
    const double end = foot.point[axis] + 0.5 * size[axis];
    const double from = std::max(begin, area.min()[axis]);
    const double to = std::min(end, area.max()[axis]);
    if (from == begin && to == end) continue;
    if (!(to > from)) return std::nullopt;
    const double share = (to - from) / size[axis];
    part.force *= share;
    part.free_moment *= share;
    part.point[axis] = 0.5 * (from + to);
  }
  return part;
}

}  // namespace moundwork::model
