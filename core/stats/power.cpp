// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/power.h"

#include <cmath>
#include <limits>

#include "core/stats/distributions.h"

namespace moundwork::stats {
namespace {
double reach(PowerSetting setting) {
  return normal_quantile(1.0 - 0.5 * setting.alpha) + normal_quantile(setting.power);
}
}  // namespace

double smallest_detectable_correlation(double pairs, PowerSetting setting) {
  if (!(pairs > 3.0)) return std::numeric_limits<double>::quiet_NaN();
  return std::tanh(reach(setting) / std::sqrt(pairs - 3.0));
}

double pairs_for_correlation(double r, PowerSetting setting) {
  const double ratio = reach(setting) / std::atanh(std::abs(r));
  return std::ceil(ratio * ratio + 3.0);
}

}  // namespace moundwork::stats
