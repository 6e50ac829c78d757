// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/distributions.h"

#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>

#include "core/base/unknown.h"

namespace moundwork::stats {
namespace {
constexpr double infinity = std::numeric_limits<double>::infinity();
bool usable(double df) { return std::isfinite(df) && df > 0.0; }
}  // namespace

double normal_cdf(double z) {
  if (std::isnan(z)) return unknown;
  if (std::isinf(z)) return z > 0.0 ? 1.0 : 0.0;
  return cdf(boost::math::normal(), z);
}

double normal_quantile(double probability) {
  if (std::isnan(probability)) return unknown;
  if (probability <= 0.0) return -infinity;
  if (probability >= 1.0) return infinity;
  return quantile(boost::math::normal(), probability);
}

double t_quantile(double probability, double df) {
  if (!usable(df)) return unknown;
  return quantile(boost::math::students_t(df), probability);
}

double t_two_sided_p(double t, double df) {
  if (!usable(df) || std::isnan(t)) return unknown;
  if (std::isinf(t)) return 0.0;
  return 2.0 * cdf(complement(boost::math::students_t(df), std::abs(t)));
}

double f_quantile(double probability, double df_above, double df_below) {
  if (!usable(df_above) || !usable(df_below)) return unknown;
  return quantile(boost::math::fisher_f(df_above, df_below), probability);
}

}  // namespace moundwork::stats
