// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/random.h"
#include "core/model/contact.h"

/// What people do on and over the plates between throws. None of it is a throw. Only the forces on
/// plates are made; the rest of the body's weight is on ground that no one measures.
namespace moundwork::model {

/// Where someone of this weight can step.
struct Walker {
  double weight = 0.0;                                   ///< N
  double foot_length = 0.0;                              ///< m
  Eigen::Vector2d back_plate = Eigen::Vector2d::Zero();  ///< areas' centres, lab, m
  Eigen::Vector2d lead_plate = Eigen::Vector2d::Zero();
};

enum class Activity {
  walk_home,         ///< over both plates, toward home
  walk_back,         ///< over both plates, from home to the rubber
  step_on_and_off,   ///< one foot on a plate in passing
  stand,             ///< both feet on a plate, shifting weight
  pick_up_ball,      ///< crouch and rise on a plate
  swings,            ///< arm or leg swings on one leg
  jog,               ///< jogging on the spot
  set_and_step_off,  ///< takes the set, then steps off the rubber
  balance_drill      ///< set, knee lift, balance, knee down again
};
inline constexpr int activity_count = 9;

[[nodiscard]] std::string name(Activity activity);

/// Appends the contacts of an activity that starts at `begin` (s); gives when the plates are free.
double perform(Activity activity, double begin, const Walker& walker, Random& random,
               std::vector<Contact>& contacts);

}  // namespace moundwork::model
