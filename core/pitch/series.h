// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

namespace moundwork::pitch {

/// Reading of evenly sampled values at and between samples. Positions are fractional indices.

/// Linear interpolation; the ends hold outside.
[[nodiscard]] double value_at(const Eigen::ArrayXd& values, double index);

struct Extreme {
  double index = 0.0;
  double value = 0.0;
};
/// Greatest value of the samples in [first, last], refined by the parabola through its neighbours;
/// index NaN where the range holds no sample.
[[nodiscard]] Extreme greatest(const Eigen::ArrayXd& values, double first, double last);

/// Value at a peak: the parabola's where `index` is the parabola's own place, as `greatest` gives
/// it; elsewhere, as where a person put the peak, the interpolated value. NaN for a NaN index.
[[nodiscard]] double peak_value(const Eigen::ArrayXd& values, double index);

/// First upward crossing of `level` in [first, last] after which `hold` samples stay at or above
/// it, between samples; NaN if none. A series that is above from `first` on has not crossed.
[[nodiscard]] double first_rise(const Eigen::ArrayXd& values, double level, double first,
                                double last, double hold);
/// Last crossing of `level` in [first, last], upward or downward; NaN if none.
[[nodiscard]] double last_rise(const Eigen::ArrayXd& values, double level, double first,
                               double last);
[[nodiscard]] double last_fall(const Eigen::ArrayXd& values, double level, double first,
                               double last);

/// Integral over fractional indices [first, last] by trapezoids, in value x samples; each piece's
/// two ends go through `shape(value at left, value at right)` which returns the piece's mean.
template <class Shape>
[[nodiscard]] double integrate(const Eigen::ArrayXd& values, double first, double last,
                               Shape shape) {
  if (!(first < last)) return 0.0;
  const double inner_first = std::ceil(first);
  const double inner_last = std::floor(last);
  if (inner_first > inner_last)
    return (last - first) * shape(value_at(values, first), value_at(values, last));
  double sum = 0.0;
  if (inner_first > first)
    sum += (inner_first - first) * shape(value_at(values, first), value_at(values, inner_first));
  if (last > inner_last)
    sum += (last - inner_last) * shape(value_at(values, inner_last), value_at(values, last));
  // Whole pieces between samples need no interpolation; outside the series its ends hold.
  const Eigen::Index end = values.size() - 1;
  const auto held = [&](Eigen::Index i) { return values(std::clamp<Eigen::Index>(i, 0, end)); };
  const auto to = static_cast<Eigen::Index>(inner_last);
  for (auto i = static_cast<Eigen::Index>(inner_first); i < to; ++i)
    sum += shape(held(i), held(i + 1));
  return sum;
}

[[nodiscard]] double integral(const Eigen::ArrayXd& values, double first, double last);
/// Of the positive part alone.
[[nodiscard]] double positive_integral(const Eigen::ArrayXd& values, double first, double last);

/// Greatest slope, per sample, of a least-squares line over `length` samples within [first, last];
/// NaN where the range is shorter.
[[nodiscard]] double greatest_slope(const Eigen::ArrayXd& values, double first, double last,
                                    double length);

}  // namespace moundwork::pitch
