// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <limits>
#include <optional>

#include "core/definitions/values.h"
#include "core/foot/foot_forces.h"

namespace moundwork::pitch {

// What this folder measures, by the names that its definitions have.
using definitions::Event;
using definitions::event_count;
using definitions::EventTimes;
using definitions::find_event;
using definitions::find_quantity;
using definitions::no_times;
using definitions::Quantity;
using definitions::quantity_count;
using definitions::QuantityValues;

/// What the numbers of one throw are computed from beside its forces. Lab frame, SI, session times
/// in s.
struct ThrowFacts {
  double coarse_contact = 0.0;  ///< from the throw finder
  /// End of the quiet set; NaN where the recording has none.
  double quiet_end = std::numeric_limits<double>::quiet_NaN();
  double mass = 0.0;                                         ///< kg
  double height = std::numeric_limits<double>::quiet_NaN();  ///< m
  /// +1 where the back foot's toe points to +y (left-hander), -1 to -y.
  double toe_side = -1.0;
  /// The back foot's heel and toe, x and y; a throw without a foot line has no heel-toe numbers.
  std::optional<Eigen::Vector2d> heel, toe;
  double release = std::numeric_limits<double>::quiet_NaN();
  double ball_speed = std::numeric_limits<double>::quiet_NaN();  ///< m/s at release

  [[nodiscard]] double body_weight() const;  ///< N
};

/// Everything the numbers of one throw are computed from.
struct ThrowData : ThrowFacts {
  foot::FootForces back, lead;
};

}  // namespace moundwork::pitch
