// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/ball/speed.h"
#include "core/base/measured.h"
#include "core/time/session_clock.h"

namespace moundwork::ball {

/// Who says when the ball left the hand.
enum class Witness { told, video_mark, trigger, catch_sound, radar };

/// One word on when the ball left the hand.
struct ReleaseCandidate {
  double time = 0.0;  ///< session time, s
  double u = 0.0;     ///< standard uncertainty, s
  Witness witness = Witness::told;
  /// Part of u that is the same error in every throw of the session, s; 0 where that is not known.
  double shared_u = 0.0;
  int device = -1;  ///< index into Session::devices of the one whose clock stamped it, -1 for none
  std::string told_by = {};  ///< of Witness::told: as the session has it
};

/// "trigger", "catch sound", "radar", "video mark"; of a told one by whom or how it was.
[[nodiscard]] std::string source_of(const ReleaseCandidate& candidate);

/// All words together, weighed by inverse variance.
struct Release {
  Measured time;            ///< session time, s
  double chi_square = 0.0;  ///< of the candidates about the fused time
  double p = 1.0;           ///< chance of so much disagreement if every u is right
  bool agrees = true;       ///< p at least 0.01; else u was widened by the Birge ratio
  std::vector<ReleaseCandidate> candidates;
};

/// Empty candidates give an unknown time.
[[nodiscard]] Release fuse(std::vector<ReleaseCandidate> candidates);

/// From the sound of the catch: minus its way through the air, minus the ball's flight with drag.
/// `onset` is the sound's arrival (session time, s). Drag makes the speed at release higher and the
/// flight longer at once, so the two are taken together.
[[nodiscard]] ReleaseCandidate from_catch_sound(Measured onset, const BallSpeed& ball_speed,
                                                const session::CatchMicrophone& microphone,
                                                const Air& air);

/// From a radar reading's arrival: minus its measured delay, minus the flight to where it was
/// taken.
[[nodiscard]] ReleaseCandidate from_radar(SessionTime arrival, const BallSpeed& ball_speed,
                                          const session::Radar& radar, const Air& air);

/// Covariance (s^2) of the errors of both candidates of one throw: a radar that saw the ball
/// farther on than stated answers later, and the ball has slowed, so the flight seems longer and
/// the sound's release earlier. Negative.
[[nodiscard]] double sound_radar_covariance(const BallSpeed& ball_speed,
                                            const session::CatchMicrophone& microphone,
                                            const session::Radar& radar, const Air& air);

}  // namespace moundwork::ball
