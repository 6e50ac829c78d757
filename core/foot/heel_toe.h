// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

namespace moundwork::foot {

/// The line of a foot on the ground, lab x and y, m.
class HeelToeLine {
 public:
  HeelToeLine(const Eigen::Vector2d& heel, const Eigen::Vector2d& toe)
      : heel_(heel), along_((toe - heel) / (toe - heel).squaredNorm()) {}

  /// Where a point lies along the foot: 0 heel, 100 toe. NaN for a point that is NaN.
  [[nodiscard]] double percent(double x, double y) const {
    return 100.0 * ((x - heel_.x()) * along_.x() + (y - heel_.y()) * along_.y());
  }

 private:
  Eigen::Vector2d heel_, along_;
};

}  // namespace moundwork::foot
