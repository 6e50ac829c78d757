// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>

namespace moundwork::stats {

/// An estimate with its standard error, tested against zero by Student's t. NaN where undefined.
struct Estimate {
  double value = std::numeric_limits<double>::quiet_NaN();
  double u = std::numeric_limits<double>::quiet_NaN();
  double df = std::numeric_limits<double>::quiet_NaN();
  double p = std::numeric_limits<double>::quiet_NaN();
  double low = std::numeric_limits<double>::quiet_NaN();
  double high = std::numeric_limits<double>::quiet_NaN();
};

/// Fills p and the interval value -+ t u at confidence `level`.
[[nodiscard]] Estimate t_estimate(double value, double u, double df, double level);

}  // namespace moundwork::stats
