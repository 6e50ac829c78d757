// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::stats {

/// A two-sided test at level `alpha` that finds the effect with probability `power`.
struct PowerSetting {
  double alpha = 0.05;
  double power = 0.8;  ///< common practice (Cohen 1988)
};

/// Least |r| that `pairs` independent pairs can be expected to show, from
/// atanh r = (z(1 - alpha/2) + z(power)) / sqrt(pairs - 3). NaN at three pairs or fewer.
[[nodiscard]] double smallest_detectable_correlation(double pairs, PowerSetting setting);

/// Pairs needed for a correlation of size r, by the same formula, rounded up.
[[nodiscard]] double pairs_for_correlation(double r, PowerSetting setting);

}  // namespace moundwork::stats
