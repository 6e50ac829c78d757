// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "core/ball/match.h"
#include "core/ball/release.h"
#include "core/definitions/settings.h"
#include "core/session/edit.h"
#include "core/session/results.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"

namespace moundwork::ball {

/// What radar, trigger, microphone and people say of one throw's ball.
struct BallOfThrow {
  Measured speed;  ///< m/s at release; unknown where nothing usable was said
  Release release;
  std::vector<session::ResultFlag> flags;
};

/// Reads a session's ball instruments once and answers throw by throw. Sound and radar are weighed
/// over all throws together (core/ball/session_release.h); a release marked in a video (the
/// session's edits, core/marks/frame_marks.h) is a candidate of its throw, an event moved by hand
/// is not.
class BallWitness {
 public:
  /// `contacts`: coarse lead contacts of all throws, s, in order; radar readings are given out
  /// among them once.
  [[nodiscard]] static Result<BallWitness> make(const session::RowSource& reader,
                                                const std::vector<double>& contacts,
                                                const definitions::Settings& settings);

  /// The ball of one of these throws.
  [[nodiscard]] const Result<BallOfThrow>& at(std::size_t thrown) const { return balls_[thrown]; }

 private:
  BallWitness(const session::RowSource& reader, const definitions::Settings& settings);

  [[nodiscard]] Result<BallOfThrow> look(std::size_t thrown);
  void weigh_together();
  std::optional<session::RadarReading> reading_for(std::size_t thrown,
                                                   std::vector<session::ResultFlag>& flags) const;
  std::optional<ReleaseCandidate> from_video(double contact) const;
  Result<std::optional<ReleaseCandidate>> from_trigger(double contact) const;
  Result<std::optional<ReleaseCandidate>> from_sound(double contact, const BallSpeed& speed,
                                                     const Air& air) const;

  const session::RowSource* reader_;
  definitions::Settings settings_;
  Air air_;
  std::vector<double> contacts_;
  std::vector<session::RadarReading> readings_;
  std::vector<ExpectedReading> due_;
  std::vector<MatchedReading> matches_;
  std::optional<session::SampleClock> trigger_clock_, microphone_clock_;
  std::vector<session::Edit> edits_;
  std::vector<double> sound_radar_covariances_;  // s^2, by throw
  std::vector<Result<BallOfThrow>> balls_;
};

}  // namespace moundwork::ball
