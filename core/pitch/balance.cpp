// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/balance.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/foot/sample_range.h"
#include "core/signal/butterworth.h"

namespace moundwork::pitch {
namespace {

// The range and up to `most` samples before and after it without a NaN.
foot::SampleRange known_about(const Eigen::ArrayXd& values, const foot::SampleRange& range,
                              Eigen::Index most) {
  foot::SampleRange wider = range;
  while (wider.first > 0 && range.first - wider.first < most &&
         !std::isnan(values(wider.first - 1)))
    --wider.first;
  while (wider.last + 1 < values.size() && wider.last - range.last < most &&
         !std::isnan(values(wider.last + 1)))
    ++wider.last;
  return wider;
}

// Length of the way through x and y, the low-passed centre of pressure over `range`. Noise across a
// step d makes it longer, by s^2 / (2 d) where it is small beside the step, so its variance s^2 is
// taken off the step's square. White noise of one sample of variance w leaves, under the two passes
// H = 1 / (1 + (omega / c)^4), the variance w T^3 c^3 sqrt(2) / 16 in a step of duration T: the
// integral of omega^2 H^2 is c^3 pi sqrt(2) / 16.
double path_length(const foot::FootForces& foot, const foot::SampleRange& range,
                   const Eigen::Ref<const Eigen::ArrayXd>& x,
                   const Eigen::Ref<const Eigen::ArrayXd>& y,
                   const definitions::Settings& settings) {
  const Eigen::Index steps = x.size() - 1;
  const double cutoff =
      2.0 * std::numbers::pi * signal::design_cutoff(settings.sway_low_pass, 2, 2);
  const double left = std::pow(cutoff * foot.step, 3) * std::numbers::sqrt2 / 16.0;
  const Eigen::ArrayXd xx = (x.tail(steps) - x.head(steps)).square();
  const Eigen::ArrayXd yy = (y.tail(steps) - y.head(steps)).square();
  // The centre of pressure is a moment over the vertical force: noise of both moves it.
  const auto variance = [&](const Eigen::Ref<const Eigen::ArrayXd>& cop, double centre,
                            double moment_noise) -> Eigen::ArrayXd {
    return left *
           (std::pow(moment_noise, 2) + ((cop.head(steps) - centre) * foot.noise(2)).square()) /
           foot.z.segment(range.first, steps).square();
  };
  const Eigen::ArrayXd across = (yy * variance(x, foot.centre.x(), foot.noise(4)) +
                                 xx * variance(y, foot.centre.y(), foot.noise(3))) /
                                (xx + yy).max(std::numeric_limits<double>::min());
  return (xx + yy - across).max(0.0).sqrt().sum();
}

}  // namespace

Sway sway_of(const foot::FootForces& foot, double from, double to,
             const definitions::Settings& settings) {
  const foot::SampleRange range = foot::samples_in(foot, from, to);
  const auto sections =
      signal::low_pass(2, signal::design_cutoff(settings.sway_low_pass, 2, 2), 1.0 / foot.step);
  constexpr Eigen::Index least_samples = 10;
  if (!sections || range.count() <= least_samples) return {};
  const Eigen::Index count = range.count();
  // The pressure is moving where the time begins and ends, so the filter runs in from outside.
  const auto run_in = static_cast<Eigen::Index>(3.0 / (settings.sway_low_pass * foot.step));
  const foot::SampleRange wider = known_about(foot.cop_x, range, run_in);
  Eigen::ArrayXXd cop(wider.count(), 2);
  cop.col(0) = foot.cop_x.segment(wider.first, wider.count());
  cop.col(1) = foot.cop_y.segment(wider.first, wider.count());
  const Eigen::ArrayXXd filtered =
      signal::zero_phase_columns(*sections, cop).middleRows(range.first - wider.first, count);
  const auto x = filtered.col(0);
  const auto y = filtered.col(1);
  Sway sway;
  sway.path_length = path_length(foot, range, x, y, settings);
  const Eigen::ArrayXd dx = x - x.mean();
  const Eigen::ArrayXd dy = y - y.mean();
  const double n = static_cast<double>(count) - 1.0;
  const double xx = dx.square().sum() / n;
  const double yy = dy.square().sum() / n;
  const double xy = (dx * dy).sum() / n;
  constexpr double chi_square_95_of_two = 5.991464547107979;  // -2 ln 0.05
  sway.area = std::numbers::pi * chi_square_95_of_two * std::sqrt(std::max(0.0, xx * yy - xy * xy));
  return sway;
}

}  // namespace moundwork::pitch
