// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/session_release.h"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>

namespace moundwork::ball {
namespace {

/// One throw as the difference of its candidates sees it.
struct Pair {
  std::size_t index = 0;
  double difference = 0.0;    // d: radar minus sound, s
  double sound_shared = 0.0;  // c
  double sound_own = 0.0;     // s
  double radar = 0.0;         // u_r
  double covariance = 0.0;    // q, of the own parts when all of the radar's is its own
};

/// The session's differences under one split of the radar's variance: d = g gamma - c beta + noise
/// with beta and gamma standard normal, g and r the radar's shared and own part.
struct Split {
  double own_share = 0.0;                                   // of the radar's variance, rho
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();           // of (beta, gamma) given all d
  Eigen::Matrix2d posterior = Eigen::Matrix2d::Identity();  // its covariance
  double log_likelihood = 0.0;
  double chi_square = 0.0;

  [[nodiscard]] double own(const Pair& pair) const { return std::sqrt(own_share) * pair.radar; }
  [[nodiscard]] double shared(const Pair& pair) const {
    return std::sqrt(1.0 - own_share) * pair.radar;
  }
  [[nodiscard]] double covariance(const Pair& pair) const { return own_share * pair.covariance; }
  /// Variance of the difference but for what is shared.
  [[nodiscard]] double noise(const Pair& pair) const {
    return std::pow(pair.sound_own, 2) + std::pow(own(pair), 2) - 2.0 * covariance(pair);
  }
};

Split explain(const std::vector<Pair>& pairs, double own_share) {
  Split split;
  split.own_share = own_share;
  Eigen::Matrix2d precision = Eigen::Matrix2d::Identity();
  Eigen::Vector2d weighted = Eigen::Vector2d::Zero();
  double squares = 0.0;
  double log_noise = 0.0;
  for (const Pair& pair : pairs) {
    const Eigen::Vector2d h(-pair.sound_shared, split.shared(pair));
    const double variance = split.noise(pair);
    precision += h * h.transpose() / variance;
    weighted += h * pair.difference / variance;
    squares += pair.difference * pair.difference / variance;
    log_noise += std::log(variance);
  }
  split.posterior = precision.inverse();
  split.mean = split.posterior * weighted;
  // Matrix determinant and inversion lemmas: the covariance of d is diagonal plus two outer
  // products.
  split.chi_square = squares - weighted.dot(split.mean);
  split.log_likelihood = -0.5 * (log_noise + std::log(precision.determinant()) + split.chi_square);
  return split;
}

/// The throw's release given one split: both candidates freed of their shared errors as far as they
/// are known, weighed by what is left.
Measured release_of(const SoundAndRadar& candidates, const Pair& pair, const Split& split) {
  const double s2 = pair.sound_own * pair.sound_own;
  const double r2 = std::pow(split.own(pair), 2);
  const double q = split.covariance(pair);
  const double by_radar = (s2 - q) / (s2 + r2 - 2.0 * q);
  const Eigen::Vector2d shared((1.0 - by_radar) * pair.sound_shared, by_radar * split.shared(pair));
  const double time = (1.0 - by_radar) * candidates.sound.time + by_radar * candidates.radar.time;
  const double variance =
      (s2 * r2 - q * q) / (s2 + r2 - 2.0 * q) + shared.dot(split.posterior * shared);
  return {time - shared.dot(split.mean), std::sqrt(variance)};
}

}  // namespace

std::vector<Measured> fuse_session(std::span<const SoundAndRadar> throws) {
  std::vector<Measured> times;
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < throws.size(); ++i) {
    const auto& [sound, radar, covariance] = throws[i];
    const Release alone = fuse({sound, radar});
    times.push_back(alone.time);
    // Neither instrument is the same to better than a tenth of a millisecond; the floor keeps the
    // arithmetic sound.
    constexpr double least_own = 1e-4;
    const double own2 = sound.u * sound.u - sound.shared_u * sound.shared_u;
    const double own = std::sqrt(std::max(own2, least_own * least_own));
    // No more than the own parts can hold.
    const double most = 0.9 * own * radar.u;
    if (alone.agrees)
      pairs.push_back({i, radar.time - sound.time, sound.shared_u, own, radar.u,
                       std::clamp(covariance, -most, most)});
  }
  if (pairs.empty()) return times;

  constexpr int steps = 20;
  std::vector<Split> splits;
  const Split* best = nullptr;
  for (int i = 0; i <= steps; ++i)
    splits.push_back(explain(pairs, static_cast<double>(i) / static_cast<double>(steps)));
  // The station's word is as likely as all the other splits together.
  splits.back().log_likelihood += std::log(static_cast<double>(steps));
  for (const Split& split : splits)
    if (best == nullptr || split.log_likelihood > best->log_likelihood) best = &split;
  const boost::math::chi_squared spread(static_cast<double>(pairs.size()));
  constexpr double least_p = 0.01;
  if (boost::math::cdf(boost::math::complement(spread, best->chi_square)) < least_p) return times;

  double total = 0.0;
  for (const Split& split : splits) total += std::exp(split.log_likelihood - best->log_likelihood);
  for (const Pair& pair : pairs) {
    double mean = 0.0, square = 0.0, within = 0.0;
    for (const Split& split : splits) {
      const double weight = std::exp(split.log_likelihood - best->log_likelihood) / total;
      const Measured one = release_of(throws[pair.index], pair, split);
      // About one of them, or the squares of a session's times would swallow the difference.
      const double off = one.value - times[pair.index].value;
      mean += weight * off;
      square += weight * off * off;
      within += weight * one.u * one.u;
    }
    times[pair.index] = {times[pair.index].value + mean,
                         std::sqrt(within + std::max(0.0, square - mean * mean))};
  }
  return times;
}

}  // namespace moundwork::ball
