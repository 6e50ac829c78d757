// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/cue_order.h"

namespace moundwork::relate {

inline constexpr int fewest_ordered_throws = 2;
inline constexpr int most_ordered_throws = 150;  ///< more than anybody should throw in a day
/// Of each kind: with fewer, whole runs can be arranged in too few ways to tell anything. Four of
/// each can lie in 70 ways, three in 20, of which two are as extreme as can be: p >= 0.1.
inline constexpr int fewest_runs = 4;

/// Draws which throws get which cue and which none: runs of `run` throws, each kind (no cue is one)
/// as often as the others to within one run, every such order as likely as any other. The same seed
/// draws the same order on every machine. Fails on fewer runs than kinds, on a name that is empty,
/// too long, twice there or holds a semicolon, and on numbers out of range.
[[nodiscard]] Result<session::CueOrder> draw_cue_order(const std::vector<std::string>& cues,
                                                       int throws, int run, std::uint64_t seed);
/// One that nobody chose.
[[nodiscard]] std::uint64_t new_cue_seed();

/// Runs of the kind that has fewest.
[[nodiscard]] int fewest_runs_of_a_kind(const session::CueOrder& order);

}  // namespace moundwork::relate
