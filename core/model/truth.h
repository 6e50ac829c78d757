// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <functional>

#include "core/definitions/catalogue.h"
#include "core/model/pitch_motion.h"

/// The true value of everything that is measured on a throw, found by root finding and quadrature
/// on the noise-free functions and written from the definitions alone: no line is shared with the
/// code that measures. The measurand is the unfiltered force.
namespace moundwork::model {

/// What the definitions are applied to; times in s, all on one clock.
struct Scene {
  std::function<FootLoad(double)> back;
  std::function<FootLoad(double)> lead;
  FootPlace foot;
  double mass = 0.0;       ///< kg
  double height = 0.0;     ///< m
  double quiet = 0.0;      ///< middle of the quiet set
  double lead_from = 0.0;  ///< search the lead contact from here
  double end = 0.0;        ///< and nothing later than here
  double release = 0.0;
  double ball_speed = 0.0;  ///< m/s
};

/// NaN where a definition gives nothing (a force that never crosses a threshold).
struct Truth {
  std::array<double, definitions::event_count> events;         ///< s
  std::array<double, definitions::quantity_count> quantities;  ///< SI; % of the foot or height

  [[nodiscard]] double operator[](definitions::Event event) const {
    return events[static_cast<std::size_t>(event)];
  }
  [[nodiscard]] double operator[](definitions::Quantity quantity) const {
    return quantities[static_cast<std::size_t>(quantity)];
  }
};

[[nodiscard]] Truth find_truth(const Scene& scene);

/// The scene of a pitch with this ball speed at release (m/s).
[[nodiscard]] Scene scene_of(const Pitch& pitch, double ball_speed);

}  // namespace moundwork::model
