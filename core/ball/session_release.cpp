// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/session_release.h"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <optional>
#include <utility>

namespace moundwork::ball {
namespace {

/// A known release beside a throw's candidates.
struct Known {
  double sound_after = 0.0, radar_after = 0.0;  // candidates minus the known release, s
  double shared = 0.0, own = 0.0;               // k and m of its standard uncertainty, s
};

/// One throw as the difference of its candidates sees it.
struct Pair {
  std::size_t index = 0;
  double difference = 0.0;    // d: radar minus sound, s
  double sound_shared = 0.0;  // c
  double sound_own = 0.0;     // s
  double radar = 0.0;         // u_r
  double covariance = 0.0;    // q, of the own parts when all of the radar's is its own
  std::optional<Known> known;
};

/// What is the same all session, in units of its stated uncertainty, standard normal before the
/// session: the sound's (beta), the radar's (gamma), the known releases' (delta).
using Shared = Eigen::Vector3d;

/// What a throw says about them: y = h (beta, gamma, delta) + noise. One row, the difference, or
/// both candidates against the known release.
struct Observation {
  Eigen::Matrix<double, Eigen::Dynamic, 3, Eigen::ColMajor, 2, 3> h;
  Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, 2, 2> noise;
  Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, 2, 1> y;
};

/// The session under one split of the radar's variance, g and r being its shared and own part.
struct Split {
  double own_share = 0.0;                                   // of the radar's variance, rho
  Shared mean = Shared::Zero();                             // given all throws
  Eigen::Matrix3d posterior = Eigen::Matrix3d::Identity();  // its covariance
  double log_likelihood = 0.0;
  double chi_square = 0.0;
  Eigen::Index rows = 0;

  [[nodiscard]] double own(const Pair& pair) const { return std::sqrt(own_share) * pair.radar; }
  [[nodiscard]] double shared(const Pair& pair) const {
    return std::sqrt(1.0 - own_share) * pair.radar;
  }
  [[nodiscard]] double covariance(const Pair& pair) const { return own_share * pair.covariance; }
  [[nodiscard]] Observation observed(const Pair& pair) const;
};

Observation Split::observed(const Pair& pair) const {
  const double s2 = pair.sound_own * pair.sound_own;
  const double r2 = std::pow(own(pair), 2);
  const double q = covariance(pair);
  Observation seen;
  if (pair.known) {
    const double m2 = pair.known->own * pair.known->own;
    seen.h.resize(2, 3);
    seen.h << pair.sound_shared, 0.0, -pair.known->shared, 0.0, shared(pair), -pair.known->shared;
    seen.noise.resize(2, 2);
    seen.noise << s2 + m2, q + m2, q + m2, r2 + m2;
    seen.y.resize(2);
    seen.y << pair.known->sound_after, pair.known->radar_after;
  } else {
    seen.h.resize(1, 3);
    seen.h << -pair.sound_shared, shared(pair), 0.0;
    seen.noise.resize(1, 1);
    seen.noise << s2 + r2 - 2.0 * q;
    seen.y.resize(1);
    seen.y << pair.difference;
  }
  return seen;
}

Split explain(const std::vector<Pair>& pairs, double own_share) {
  Split split;
  split.own_share = own_share;
  Eigen::Matrix3d precision = Eigen::Matrix3d::Identity();
  Shared weighted = Shared::Zero();
  double squares = 0.0;
  double log_noise = 0.0;
  for (const Pair& pair : pairs) {
    const Observation seen = split.observed(pair);
    const auto weight = seen.noise.inverse().eval();
    precision += seen.h.transpose() * weight * seen.h;
    weighted += seen.h.transpose() * weight * seen.y;
    squares += seen.y.dot(weight * seen.y);
    log_noise += std::log(seen.noise.determinant());
    split.rows += seen.y.size();
  }
  split.posterior = precision.inverse();
  split.mean = split.posterior * weighted;
  // Matrix determinant and inversion lemmas: the covariance of all y is block-diagonal plus
  // three outer products.
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
  const Shared shared((1.0 - by_radar) * pair.sound_shared, by_radar * split.shared(pair), 0.0);
  const double time = (1.0 - by_radar) * candidates.sound.time + by_radar * candidates.radar.time;
  const double variance =
      (s2 * r2 - q * q) / (s2 + r2 - 2.0 * q) + shared.dot(split.posterior * shared);
  return {time - shared.dot(split.mean), std::sqrt(variance)};
}

/// Chance of so great a chi-square.
double chance(double chi_square, double freedom) {
  const boost::math::chi_squared spread(freedom);
  return boost::math::cdf(boost::math::complement(spread, std::max(0.0, chi_square)));
}

constexpr double least_p = 0.01;

constexpr int steps = 20;
std::vector<Split> explain_all(const std::vector<Pair>& pairs) {
  std::vector<Split> splits;
  for (int i = 0; i <= steps; ++i)
    splits.push_back(explain(pairs, static_cast<double>(i) / static_cast<double>(steps)));
  // The station's word is as likely as all the other splits together.
  splits.back().log_likelihood += std::log(static_cast<double>(steps));
  return splits;
}

const Split& likeliest(const std::vector<Split>& splits) {
  return *std::max_element(splits.begin(), splits.end(), [](const Split& a, const Split& b) {
    return a.log_likelihood < b.log_likelihood;
  });
}

/// Takes away the known releases that all else contradicts, the worst first: without one, the
/// chi-square falls by the square of its standardised distance from what all else foretells.
std::vector<Split> explain_without_wrong(std::vector<Pair>& pairs) {
  while (true) {
    auto splits = explain_all(pairs);
    const Split& best = likeliest(splits);
    double told = 0.0;
    double worst = 0.0;
    Pair* contradicted = nullptr;
    for (Pair& pair : pairs) {
      if (!pair.known) continue;
      told += 1.0;
      const auto known = std::exchange(pair.known, std::nullopt);
      const double fall = best.chi_square - explain(pairs, best.own_share).chi_square;
      pair.known = known;
      if (fall <= worst) continue;
      worst = fall;
      contradicted = &pair;
    }
    if (contradicted == nullptr || chance(worst, 1.0) >= least_p / told) return splits;
    contradicted->known.reset();
  }
}

}  // namespace

std::vector<Measured> fuse_session(std::span<const SoundAndRadar> throws) {
  std::vector<Measured> times;
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < throws.size(); ++i) {
    const auto& [sound, radar, covariance, known] = throws[i];
    std::vector<ReleaseCandidate> candidates{sound, radar};
    if (known) candidates.push_back(*known);
    const Release alone = fuse(std::move(candidates));
    times.push_back(alone.time);
    // No instrument is the same to better than a tenth of a millisecond; the floor keeps the
    // arithmetic sound.
    const auto own_of = [](const ReleaseCandidate& candidate) {
      constexpr double least_own = 1e-4;
      const double own2 = candidate.u * candidate.u - candidate.shared_u * candidate.shared_u;
      return std::sqrt(std::max(own2, least_own * least_own));
    };
    if (!alone.agrees) continue;
    const double own = own_of(sound);
    // No more than the own parts can hold.
    const double most = 0.9 * own * radar.u;
    Pair pair{i,
              radar.time - sound.time,
              sound.shared_u,
              own,
              radar.u,
              std::clamp(covariance, -most, most),
              std::nullopt};
    if (known)
      pair.known = Known{sound.time - known->time, radar.time - known->time, known->shared_u,
                         own_of(*known)};
    pairs.push_back(pair);
  }
  const bool all_known =
      std::all_of(throws.begin(), throws.end(), [](const auto& one) { return one.known; });
  if (pairs.empty() || all_known) return times;

  const std::vector<Split> splits = explain_without_wrong(pairs);
  const Split* best = &likeliest(splits);
  if (chance(best->chi_square, static_cast<double>(best->rows)) < least_p) return times;

  double total = 0.0;
  for (const Split& split : splits) total += std::exp(split.log_likelihood - best->log_likelihood);
  for (const Pair& pair : pairs) {
    if (throws[pair.index].known) continue;
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
