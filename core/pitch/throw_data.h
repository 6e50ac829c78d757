// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <limits>
#include <optional>

#include "core/pitch/catalogue.h"
#include "core/pitch/foot_forces.h"

namespace moundwork::pitch {

/// Everything the numbers of one throw are computed from. Lab frame, SI, session times in s.
struct ThrowData {
  FootForces back, lead;
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

/// Times of the events, s; NaN where the recording does not show one.
using EventTimes = std::array<double, event_count>;
/// Values by quantity; NaN where one cannot be measured.
using QuantityValues = std::array<double, quantity_count>;

/// Of no event at all.
[[nodiscard]] constexpr EventTimes no_times() {
  EventTimes times{};
  times.fill(std::numeric_limits<double>::quiet_NaN());
  return times;
}

[[nodiscard]] inline double& at(EventTimes& times, Event event) {
  return times[static_cast<std::size_t>(event)];
}
[[nodiscard]] inline double at(const EventTimes& times, Event event) {
  return times[static_cast<std::size_t>(event)];
}
[[nodiscard]] inline double& at(QuantityValues& values, Quantity quantity) {
  return values[static_cast<std::size_t>(quantity)];
}
[[nodiscard]] inline double at(const QuantityValues& values, Quantity quantity) {
  return values[static_cast<std::size_t>(quantity)];
}

}  // namespace moundwork::pitch
