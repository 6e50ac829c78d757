// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/relate/pitches.h"
#include "core/relate/settings.h"
#include "core/relate/verdict.h"
#include "core/stats/permutation.h"

namespace moundwork::relate {

/// Difference of one quantity (or ball speed) between pitches with a cue and those without.
struct CueEffect {
  Quantity quantity;
  stats::StratifiedEffect difference;
  double adjusted_p = std::numeric_limits<double>::quiet_NaN();
  /// Of neighbouring pitches, once stratum and cue are taken out; lag one.
  double neighbour_correlation = std::numeric_limits<double>::quiet_NaN();
  std::string reason;  ///< why nothing may be said of it, however large; empty where it may
  Verdict verdict = Verdict::undefined;
  std::string says;
};

struct CueReport {
  std::string cue;  ///< as tagged; "any" when several are taken together
  int tests = 0;
  std::vector<CueEffect> effects;  ///< ball speed first, then the targets
  std::vector<std::string> notes;
  bool drawn = false;      ///< by chance, wherever pitches are compared
  bool in_runs = false;    ///< whole runs are permuted
  std::string carry_over;  ///< what no order of cues can tell
};

/// Pitches tagged `cue` (any tag when empty) against those with no tag. Where the order was drawn
/// by chance, what was drawn counts and is drawn again: within that order, in its runs. Other
/// pitches are permuted within athlete, session, block, pitch type, delivery and ball, whole runs
/// of them where cues came in runs. "Cannot tell" with a reason where there are fewer than
/// `fewest_runs` runs of each kind, and where neighbouring pitches are alike without a draw.
/// `targets` are keys of quantities; all that are tested when empty. Fails when no pitch has the
/// cue, none is without, or a target is not there.
[[nodiscard]] Result<CueReport> test_cue(const Pitches& pitches, const std::string& cue,
                                         const std::vector<std::string>& targets,
                                         const Settings& settings);

}  // namespace moundwork::relate
