// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/ball/release.h"
#include "core/base/measured.h"

namespace moundwork::ball {

/// What catch sound and radar said of one throw.
struct SoundAndRadar {
  ReleaseCandidate sound, radar;
  double covariance = 0.0;  ///< s^2, of their errors in this throw: see sound_radar_covariance
  /// A witness of its own, such as a trigger or a video's mark, where there was one.
  std::optional<ReleaseCandidate> known = std::nullopt;
};

/// Releases of a session's throws from both instruments together, one for each throw given.
///
/// Part of what is wrong with the sound is wrong by the same amount all session (distances, drag,
/// the radar's bias: ReleaseCandidate::shared_u). A station states by how much its radar's answers
/// come now sooner, now later; over many throws their mean is better than each of them and shows
/// the sound's shared error. If in truth the radar is late by the same amount each time, it cannot.
/// Which of the two it is, the scatter of radar against sound tells: the stated variance is split
/// into a share that changes from throw to throw and a share that stays, and the result is averaged
/// over all splits, weighed by how well each explains the session's differences. Before the session
/// the station's word (all of it changes) is held as likely as all other splits together. For a
/// single throw without covariance this is the mean by inverse variance.
///
/// A throw with a known release shows both instruments' shared errors as they are, not just their
/// difference: it enters by generalised least squares with the known release's own uncertainty and
/// the part that is shared among the known ones (a reader's habit, a trigger's lag). Its own
/// release comes back as fuse() gives it from all three. A known release that the rest of the
/// session contradicts (normal test of each given all else, 1 % over all of them) teaches nothing.
///
/// A throw whose candidates disagree (see Release::agrees) teaches nothing and comes back as
/// fuse() gives it; so do all throws when the scatter is larger than the uncertainties allow.
[[nodiscard]] std::vector<Measured> fuse_session(std::span<const SoundAndRadar> throws);

}  // namespace moundwork::ball
