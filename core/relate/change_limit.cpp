// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change_limit.h"

#include <algorithm>
#include <cmath>

#include "core/stats/distributions.h"

namespace moundwork::relate {
namespace {

double squared(double value) { return value * value; }

}  // namespace

double beyond_chance(double level, double df, int looked_at) {
  const double tail = 1.0 - 0.5 * (1.0 - level) / std::max(1, looked_at);
  return std::isinf(df) ? stats::normal_quantile(tail) : stats::t_quantile(tail, df);
}

double DayVariation::typical_error() const {
  return std::sqrt(0.5 * std::max(0.0, square - explained));
}

LimitParts scatter_of(double sd_from, int n_from, double sd_to, int n_to) {
  LimitParts parts;
  const double from = squared(sd_from) / n_from;
  const double to = squared(sd_to) / n_to;
  // Throws that are all alike tell of rounding, not of no scatter.
  if (!(from + to > 0.0)) return parts;
  parts.scatter = from + to;
  parts.scatter_df =
      squared(from + to) / (squared(from) / (n_from - 1.0) + squared(to) / (n_to - 1.0));
  return parts;
}

double limit_of(const LimitParts& parts, double level, int looked_at) {
  const bool with_days = parts.days.athletes >= least_retested && parts.days.square > 0.0;
  const double t_day = with_days ? beyond_chance(level, parts.days.athletes, looked_at) : 0.0;
  const double whole =
      with_days ? squared(t_day) * parts.days.square : std::numeric_limits<double>::quiet_NaN();
  if (!(parts.scatter > 0.0)) return std::sqrt(whole);
  const double z = beyond_chance(level, std::numeric_limits<double>::infinity(), looked_at);
  double sum = squared(beyond_chance(level, parts.scatter_df, looked_at)) * parts.scatter +
               squared(z) * parts.measured;
  if (with_days)
    sum = std::max(sum + squared(t_day) * 2.0 * squared(parts.days.typical_error()), whole);
  return std::sqrt(sum);
}

}  // namespace moundwork::relate
