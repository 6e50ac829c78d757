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
  Verdict verdict = Verdict::undefined;
  std::string says;
};

struct CueReport {
  std::string cue;  ///< as tagged; "any" when several are taken together
  int tests = 0;
  std::vector<CueEffect> effects;  ///< ball speed first, then the targets
  std::vector<std::string> notes;
};

/// Pitches tagged `cue` (any tag when empty) against those with no tag, permuted within athlete,
/// session and block. `targets` are keys of quantities; all of them when empty. Fails when no pitch
/// has the cue, none is without, or a target is not there.
[[nodiscard]] Result<CueReport> test_cue(const Pitches& pitches, const std::string& cue,
                                         const std::vector<std::string>& targets,
                                         const Settings& settings);

}  // namespace moundwork::relate
