// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>

#include "core/model/athlete.h"
#include "core/model/contact.h"

/// One pitch as smooth functions of time, lab frame, SI. The forces move a body mass by Newton's
/// law: it stands at rest in the set, falls, is driven, braked and stands at rest again.
namespace moundwork::model {

/// Heel and toe of the back foot along the rubber, lab x and y.
struct FootPlace {
  Eigen::Vector2d heel = Eigen::Vector2d::Zero();
  Eigen::Vector2d toe = Eigen::Vector2d::Zero();
};

/// Foot breadth in front of the rubber's edge, sole centre on the plate; the toe of a right-hander
/// toward -y, of a left-hander toward +y. `turn` is the foot's angle from the rubber, rad, toe
/// toward home positive.
[[nodiscard]] FootPlace place_back_foot(const ModelAthlete& athlete, double turn);

struct Pitch {
  double mass = 0.0;    ///< kg
  double height = 0.0;  ///< m
  FootPlace foot;
  Contact back;           ///< back foot, back plate
  Contact lead;           ///< lead foot, lead plate
  Contact set;            ///< lead foot on the ground before the lift
  Contact landing;        ///< back foot on the ground after the follow-through
  double begin = 0.0;     ///< the body at rest on the ground, no foot on a plate yet, s
  double quiet = 0.0;     ///< middle of the quiet set, s
  double lift = 0.0;      ///< the lead foot begins to leave, s
  double touch = 0.0;     ///< the lead foot's first touch (its 5 % threshold comes later), s
  double release = 0.0;   ///< s
  double standing = 0.0;  ///< at rest on both feet again, s
  double end = 0.0;       ///< no foot on a plate any more, s

  [[nodiscard]] std::array<const Contact*, 4> contacts() const {
    return {&back, &lead, &set, &landing};
  }
};

/// Builds the pitch whose lead foot first touches at `touch` (s). What the plan leaves open (depth
/// of the fall, braking, support after release) is solved so that the body falls no faster than the
/// landing can arrest and comes to rest. Empty when that would need a force no person shows.
[[nodiscard]] std::optional<Pitch> build_pitch(const PitchPlan& plan, const ModelAthlete& athlete,
                                               const FootPlace& foot, double touch,
                                               std::uint64_t seed);

/// A plan and the pitch built from it, redrawn until it is one a person could make. `heel_cue`
/// moves the centre of pressure over load and drive toward the heel, percent of the foot.
struct DrawnPitch {
  PitchPlan plan;
  Pitch pitch;
};
[[nodiscard]] DrawnPitch draw_pitch(const ModelAthlete& athlete, const FootPlace& foot,
                                    double touch, double heel_cue, Random& random);

}  // namespace moundwork::model
