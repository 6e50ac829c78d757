// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/bootstrap.h"
#include "core/stats/permutation.h"
#include "core/stats/power.h"

namespace moundwork::relate {

struct Settings {
  double level = 0.95;            ///< of every interval; common practice
  double false_discovery = 0.05;  ///< adjusted p at or below this counts as shown; common practice
  /// The correlation that a coach would want to know of: when the interval reaches it but nothing
  /// is shown, the answer is "cannot tell". 0.3 is Cohen's (1988) medium size, 9 % of the spread.
  double worth = 0.3;
  double power = 0.8;  ///< chance of finding an effect in "how many would do" (Cohen 1988)
  /// With fewer athletes there are too few different resamples for a 95 % interval to mean much:
  /// seven give 1716, eight 6435. Coverage by number of athletes: docs/relate.md.
  int least_athletes_to_resample = 8;
  stats::ResampleSettings resample;
  stats::PermutationSettings permutation;

  [[nodiscard]] stats::PowerSetting power_setting() const { return {1.0 - level, power}; }
};

}  // namespace moundwork::relate
