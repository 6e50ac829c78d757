// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

namespace moundwork::signal {

/// Reading of evenly sampled values at and between samples. Positions are fractional indices.

/// Linear interpolation; the ends hold outside.
[[nodiscard]] double value_at(const Eigen::Ref<const Eigen::ArrayXd>& values, double index);

struct Extreme {
  double index = 0.0;
  double value = 0.0;
};
/// Greatest value of the samples in [first, last], refined by the parabola through its neighbours;
/// index NaN where the range holds no sample.
[[nodiscard]] Extreme greatest(const Eigen::Ref<const Eigen::ArrayXd>& values, double first,
                               double last);

/// Value at a peak: the parabola's where `index` is the parabola's own place, as `greatest` gives
/// it; elsewhere, as where a person put the peak, the interpolated value. NaN for a NaN index.
[[nodiscard]] double peak_value(const Eigen::Ref<const Eigen::ArrayXd>& values, double index);

/// First upward crossing of `level` in [first, last] after which `hold` samples stay at or above
/// it, between samples; NaN if none. A series that is above from `first` on has not crossed.
[[nodiscard]] double first_rise(const Eigen::Ref<const Eigen::ArrayXd>& values, double level,
                                double first, double last, double hold);
/// Last crossing of `level` in [first, last], upward or downward; NaN if none.
[[nodiscard]] double last_rise(const Eigen::Ref<const Eigen::ArrayXd>& values, double level,
                               double first, double last);
[[nodiscard]] double last_fall(const Eigen::Ref<const Eigen::ArrayXd>& values, double level,
                               double first, double last);

/// Integral over fractional indices [first, last] by trapezoids, in value x samples; outside the
/// series its ends hold.
[[nodiscard]] double integral(const Eigen::Ref<const Eigen::ArrayXd>& values, double first,
                              double last);
/// Of the positive part alone.
[[nodiscard]] double positive_integral(const Eigen::Ref<const Eigen::ArrayXd>& values, double first,
                                       double last);

/// Greatest slope, per sample, of a least-squares line over `length` samples within [first, last];
/// NaN where the range is shorter.
[[nodiscard]] double greatest_slope(const Eigen::Ref<const Eigen::ArrayXd>& values, double first,
                                    double last, double length);

}  // namespace moundwork::signal
