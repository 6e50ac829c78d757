// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/capture/sweep_scale.h"

#include <cmath>

namespace moundwork::desk {

double SweepTime::x(double time) const {
  const double turns = time / span;
  return turns - std::floor(turns);
}

bool ForceScale::take(double value) {
  if (!std::isfinite(value) || (value >= low && value <= high)) return false;
  // To the next line of the grid and one beyond, so that a rising peak makes it grow once.
  if (value > high) high = step * (std::ceil(value / step) + 1.0);
  if (value < low) low = step * (std::floor(value / step) - 1.0);
  return true;
}

double ForceScale::y(double value) const { return (high - value) / (high - low); }

std::vector<double> ForceScale::lines() const {
  // A plate that clips far up must not make a hedge of lines.
  constexpr double most = 8.0;
  const double apart = step * std::max(1.0, std::ceil((high - low) / step / most));
  std::vector<double> lines;
  // By whole numbers of steps, so that 0 is 0.
  const auto last = static_cast<int>(std::floor(high / apart + 1e-9));
  for (int k = static_cast<int>(std::ceil(low / apart - 1e-9)); k <= last; ++k)
    lines.push_back(k * apart);
  return lines;
}

std::array<ForceScale, 3> usual_scales(double body_weight, double unit) {
  // A whole number of shown units a line: half a body weight, or the nearest 100 N to it.
  const auto scale = [&](double low, double high, double step) {
    double line = step * body_weight;
    if (unit == 1.0) line = std::max(50.0, 50.0 * std::round(line / 50.0));
    return ForceScale{low * body_weight, high * body_weight, line};
  };
  return {scale(-1.1, 0.9, 0.5), scale(-0.45, 0.45, 0.25), scale(-0.15, 2.1, 0.5)};
}

}  // namespace moundwork::desk
