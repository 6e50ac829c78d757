// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/onset.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/stats/median.h"

namespace moundwork::ball {
std::optional<double> burst_onset(const Eigen::Ref<const Eigen::ArrayXd>& channel,
                                  Eigen::Index within, double times_noise) {
  if (channel.size() < 16 || !channel.allFinite()) return std::nullopt;
  const double centre = stats::median(Eigen::ArrayXd(channel));
  const Eigen::ArrayXd deviation = (channel - centre).abs();
  // The median absolute deviation does not see the burst; 1.4826 makes it a standard deviation.
  const double noise = std::max(1.4826 * stats::median(deviation), 1e-300);
  const double threshold = times_noise * noise;
  constexpr int wanted = 3;  // one loud sample may be a spark in the cable
  for (Eigen::Index i = 0; i + within <= deviation.size(); ++i) {
    if (deviation(i) < threshold) continue;
    if ((deviation.segment(i, within) >= threshold).count() < wanted) continue;
    if (i == 0) return std::nullopt;
    return static_cast<double>(i) - 0.5;  // it rose between the last quiet sample and this one
  }
  return std::nullopt;
}

std::optional<double> step_index(const Eigen::Ref<const Eigen::ArrayXd>& channel) {
  if (channel.size() < 4 || !channel.allFinite()) return std::nullopt;
  const double low = channel.minCoeff();
  const double high = channel.maxCoeff();
  const Eigen::Index pairs = channel.size() - 1;
  std::vector<double> steps(static_cast<std::size_t>(pairs));
  for (Eigen::Index i = 0; i < pairs; ++i)
    steps[static_cast<std::size_t>(i)] = std::abs(channel(i + 1) - channel(i));
  constexpr double clear_of_noise = 20.0;
  if (!(high - low > clear_of_noise * stats::median(steps)) || high == low) return std::nullopt;
  const double middle = 0.5 * (low + high);
  const bool begins_high = channel(0) > middle;
  for (Eigen::Index i = 0; i < pairs; ++i) {
    const bool crosses = (channel(i + 1) > middle) != begins_high;
    if (crosses)
      return static_cast<double>(i) + (middle - channel(i)) / (channel(i + 1) - channel(i));
  }
  return std::nullopt;
}

}  // namespace moundwork::ball
