// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/random.h"
#include "core/session/session.h"

namespace moundwork::model {

/// One way of throwing: every shape and time that one pitch is built from. An athlete has a typical
/// one; each pitch varies it. Times in s from the lead foot's first touch; forces in body weights;
/// heel-toe positions in percent of the foot, 0 heel, 100 toe; lengths in m.
struct PitchPlan {
  double set_share = 0.55;      ///< of body weight on the back foot in the set
  double quiet_duration = 1.5;  ///< both feet still before the lift, s
  double lift_start = -1.65;
  double transfer_duration = 0.35;  ///< of weight onto the back foot, s
  double lift_accent = 0.06;        ///< vertical force above body weight as the knee rises
  double push = 0.22;               ///< vertical push-off above what the descent leaves
  double drive_peak = 0.55;
  double drive_peak_time = -0.17;
  double lean = 0.10;  ///< share of the drive peak there before the push, from leaning early
  double drive_hump_share = 0.65;  ///< the rest of the drive is a slow lean before it
  double unload_start = -0.16;
  double foot_off = 0.14;
  double toe_drag = 0.03;  ///< backward force as the back foot leaves
  double vertical_peak = 1.8;
  double vertical_peak_time = 0.065;
  double impact = 0.50;        ///< early spike as the foot strikes, share of the peak
  double rise_time = 0.042;    ///< scale of the strike: its spike peaks at 0.75 of this
  double forward_drag = 0.08;  ///< forward force as the foot lands before it brakes
  double braking_peak_time = 0.080;
  double braking_end = 0.46;
  double landing_share = 0.36;  ///< of the forward momentum at contact, left to the landing foot
  double lateral = 0.05;        ///< scale of sideways force
  double contact_to_release = 0.145;
  double heel_toe_set = 47.0;
  double heel_toe_load = 42.0;
  double heel_toe_drive = 66.0;
  double heel_toe_off = 88.0;
  double sway = 0.004;         ///< m, of the centre of pressure on one leg
  double cop_forward = 0.025;  ///< m, toward home under the back foot as the drive builds
  double stride = 1.45;        ///< m, from the rubber's front edge to the middle of the lead foot
  double stride_aside = 0.05;  ///< m, toward the closed side
  double back_twist = 6.0;     ///< N m, free moment under the back foot
  double lead_twist = 10.0;    ///< N m, under the lead foot
  double target_drop = 0.10;   ///< m, the body's rest height above its feet is less by this
  double speed_offset = 0.0;   ///< m/s, ball speed that no force explains
};

/// An invented athlete. Distances in m, mass in kg.
struct ModelAthlete {
  std::string id;
  std::string name;
  session::Hand hand = session::Hand::right;
  int age = 20;
  double mass = 80.0;
  double height = 1.8;
  double foot_length = 0.27;  ///< 0.152 of height, Drillis and Contini 1966
  double maturity = 1.0;      ///< 0 child to 1 adult
  double base_speed = 35.0;   ///< m/s, at the group's middle forces
  double cue_response = 0.0;  ///< m/s gained while cued onto the heel
  PitchPlan typical;
};

/// Draws the `number`th athlete of a day: 1 in 4 left-handed, youth to adult.
[[nodiscard]] ModelAthlete draw_athlete(Random& random, int number);

/// One pitch of the athlete: the typical plan with the scatter from throw to throw.
[[nodiscard]] PitchPlan vary(const PitchPlan& typical, Random& random);

}  // namespace moundwork::model
