// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

#include "core/base/result.h"
#include "core/session/session.h"

/// What people tell about a recording, and recordings that others made.
namespace moundwork::intake {

/// What a person tells about a recording that its instruments do not. SI, lab frame.
struct Facts {
  std::string athlete_id, athlete_name, born;
  std::optional<session::Hand> throws;
  Measured mass, height;
  std::optional<session::KnownBallSpeed> ball_speed;
  std::optional<session::KnownRelease> release;
  /// Points of the back foot measured by tape.
  std::optional<std::pair<Eigen::Vector3d, Eigen::Vector3d>> heel_and_toe;
  std::optional<session::FootLine> stance;  ///< the back foot as it stood in a weigh-in
  std::optional<double> foot_length;        ///< m
  session::Conditions conditions;
  std::string zone;  ///< IANA name of where it was recorded
  /// Each foot's plates as the recording's file counts them, from 1; where none is named they are
  /// found by when each is loaded.
  std::vector<int> back_plates, lead_plates;
};

/// Puts the facts into a session whose plates are set, the facts winning over what is there. Fails
/// in a sentence where the throwing hand or the mass is told by neither, or a fact cannot be.
[[nodiscard]] Result<void> apply(const Facts& facts, session::Session& session);

/// Fails in a sentence where what a session says of its athlete and air cannot be: a mass, height,
/// date of birth (ISO 8601, not after `day`), temperature, pressure or humidity that nobody has.
[[nodiscard]] Result<void> check_facts(const session::Session& session, const std::string& day);

/// Fails in a sentence where a told release lies outside the recording, `duration` in s.
[[nodiscard]] Result<void> check_releases(const session::Session& session, double duration);

/// A foot line from foot length (or 0.152 of height: Drillis and Contini 1966, from memory) alone:
/// along the rubber before its middle, or on the back plate's middle where the plate is elsewhere.
/// Nothing if neither is known.
[[nodiscard]] std::optional<session::FootLine> foot_line_from_length(
    const session::Session& session, std::optional<double> foot_length);

/// The time zone of what was recorded: the told one, else that of where the session shall lie.
/// Fails in a sentence on one that this computer does not know.
[[nodiscard]] Result<std::string> zone_of(const Facts& facts, const std::filesystem::path& target);

}  // namespace moundwork::intake
