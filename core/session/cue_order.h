// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/session/edit.h"

/// Which throws are to get which cue and which none, as drawn by chance and kept in a session's
/// edits (docs/files.md). Tags say what was given.
namespace moundwork::session {

struct CueOrder {
  std::vector<std::string> cues;
  std::vector<int> kinds;  ///< one a throw: 0 no cue, else the cue's place in `cues` from 1
  int run = 1;             ///< so many throws of a kind together; the last may be fewer
  std::uint64_t seed = 0;
  /// Session time, s: the first throw whose lead contact comes later has the first place.
  double begins = 0.0;

  /// `place` from 0; empty where no cue is due.
  [[nodiscard]] std::string cue_at(std::size_t place) const;
};

/// An edit's text holds one digit a kind.
inline constexpr int most_cues = 9;
inline constexpr char cue_separator = ';';  ///< within an edit's text; no cue's name holds one

/// `when`, `who` and `why` are the caller's to fill in.
[[nodiscard]] Edit keep_cue_order(const CueOrder& order);
/// None where the edit is another or its text holds no order.
[[nodiscard]] std::optional<CueOrder> kept_cue_order(const Edit& edit);

/// What was drawn for one throw.
struct DrawnCue {
  int order = 0;   ///< which of the session's orders, from 1
  int throws = 0;  ///< of that order
  int place = 0;   ///< of the throw in it, from 0
  int run = 0;     ///< in which of its runs it lies, from 0
  int run_length = 1;
  std::string cue;  ///< empty: none was due
};

/// One for each of `contacts`, the session's throws in order of time (s): of the last order that
/// had begun. Throws tagged as warm-ups take no place in it; those left out by hand do. None before
/// an order begins and after it has ended. A contact of infinity stands for the throw to come.
[[nodiscard]] std::vector<std::optional<DrawnCue>> drawn_cues(std::span<const Edit> edits,
                                                              std::span<const double> contacts);

}  // namespace moundwork::session
