// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "core/model/contact.h"
#include "core/session/session.h"

/// Which plate bears how much of a foot.
namespace moundwork::model {

/// The part of the ground that one plate bears.
struct Bearing {
  /// Lab x and y, m: the plate's own to where the next plate adjoins, without end where none does:
  /// a foot over an outer edge is borne whole.
  Eigen::AlignedBox2d area;
  bool back = false;  ///< bears feet on the back foot's plates
  bool lead = false;  ///< and on the lead foot's; both where the two adjoin

  [[nodiscard]] bool bears(Surface surface) const {
    return (surface == Surface::back_plate && back) || (surface == Surface::lead_plate && lead);
  }
};

/// One for each of Session::plates. Promises: the plates' sides are along the lab's axes.
[[nodiscard]] std::vector<Bearing> bearings(const session::Session& session);

/// What an area bears of a foot whose pressure lies evenly on a rectangle of this size (lab x and
/// y, above nothing, m) about its centre: force and free moment in proportion, at the middle of the
/// part. Empty where the foot is elsewhere; a foot wholly within is what it was, to the bit.
[[nodiscard]] std::optional<FootLoad> part_within(const FootLoad& foot, const Eigen::Vector2d& size,
                                                  const Eigen::AlignedBox2d& area);

}  // namespace moundwork::model
