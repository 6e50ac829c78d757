// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string>
#include <vector>

#include "core/model/activities.h"
#include "core/model/pitch_motion.h"
#include "core/model/station.h"
#include "core/model/truth.h"

/// Everything that happens in one session, before any instrument has seen it.
namespace moundwork::model {

struct Throw {
  Pitch pitch;
  Truth truth;
  double ball_speed = 0.0;  ///< m/s at release
  bool heel_cue = false;
  double caught = 0.0;  ///< the ball reaches net or glove, s
};

struct Doing {
  Activity activity;
  double begin = 0.0;  ///< s
  double end = 0.0;
};

struct Performance {
  std::vector<Contact> contacts;  ///< by begin
  std::vector<Throw> throws;      ///< in order of time
  std::vector<Doing> doings;      ///< what is no throw
  double duration = 0.0;          ///< s
};

struct PerformanceSettings {
  int pitches = 15;
  /// s from run zero to the end of recording; 0 takes what the throws and activities need.
  double duration = 0.0;
  bool activities = true;  ///< something else happens between throws
  bool heel_cue = true;    ///< the middle third of the throws is made with a cue onto the heel
};

/// Ball speed of a pitch (m/s): the athlete's base, what the forces add or take within and between
/// athletes, and what no force explains.
[[nodiscard]] double ball_speed(const ModelAthlete& athlete, const PitchPlan& plan,
                                const Truth& forces, bool heel_cue);

[[nodiscard]] Performance perform_session(const ModelAthlete& athlete, const Station& station,
                                          const PerformanceSettings& settings, Random& random);

}  // namespace moundwork::model
