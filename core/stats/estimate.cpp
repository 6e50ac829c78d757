// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/estimate.h"

#include <cmath>

#include "core/stats/distributions.h"

namespace moundwork::stats {

Estimate t_estimate(double value, double u, double df, double level) {
  Estimate estimate{value, u, df};
  if (!std::isfinite(value) || !std::isfinite(u) || !(df > 0.0)) return estimate;
  estimate.p = u > 0.0 ? t_two_sided_p(value / u, df) : (value == 0.0 ? 1.0 : 0.0);
  const double half_width = t_quantile(0.5 + 0.5 * level, df) * u;
  estimate.low = value - half_width;
  estimate.high = value + half_width;
  return estimate;
}

}  // namespace moundwork::stats
