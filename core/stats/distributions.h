// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::stats {

// Tails and quantiles of the usual distributions (Boost.Math). Degrees of freedom need not be
// whole. Where they are not positive, or the argument is NaN, the answer is NaN: there is nothing
// to know.

[[nodiscard]] double normal_cdf(double z);
[[nodiscard]] double normal_quantile(double probability);
[[nodiscard]] double t_quantile(double probability, double df);
/// Probability of a value of Student's t at least as far from zero as `t`, either side.
[[nodiscard]] double t_two_sided_p(double t, double df);
[[nodiscard]] double f_quantile(double probability, double df_above, double df_below);

}  // namespace moundwork::stats
