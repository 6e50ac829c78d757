// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/permutation.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>
#include <utility>

#include "core/base/random.h"

namespace moundwork::stats {
namespace {

constexpr double no_bound = std::numeric_limits<double>::infinity();

// A stratum with both kinds, y about its own mean so that the mark's own centring drops out.
struct Stratum {
  std::vector<double> y;
  std::vector<char> mark;
  double share = 0.0;  // of marked rows
};

std::vector<Stratum> informative_strata(const Eigen::VectorXd& y, const std::vector<bool>& marked,
                                        const Groups& groups) {
  std::vector<Stratum> all(static_cast<std::size_t>(groups.count));
  const Eigen::VectorXd centred = within_groups(y, groups);
  for (std::size_t row = 0; row < marked.size(); ++row) {
    auto& stratum = all[static_cast<std::size_t>(groups.of_row[row])];
    stratum.y.push_back(centred[static_cast<Eigen::Index>(row)]);
    stratum.mark.push_back(marked[row] ? 1 : 0);
  }
  std::vector<Stratum> kept;
  for (auto& stratum : all) {
    const auto n = static_cast<double>(stratum.mark.size());
    const auto m =
        static_cast<double>(std::count(stratum.mark.begin(), stratum.mark.end(), char{1}));
    if (m == 0.0 || m == n) continue;
    stratum.share = m / n;
    kept.push_back(std::move(stratum));
  }
  return kept;
}

double permutation_count(const std::vector<Stratum>& strata) {
  double log_count = 0.0;
  for (const auto& stratum : strata) {
    const auto n = static_cast<double>(stratum.mark.size());
    const double m = std::round(stratum.share * n);
    log_count += std::lgamma(n + 1.0) - std::lgamma(m + 1.0) - std::lgamma(n - m + 1.0);
  }
  return log_count > 700.0 ? no_bound : std::round(std::exp(log_count));
}

// Sums over one stratum under one arrangement of the marks.
struct Sums {
  double y = 0.0;        // of y where marked
  double overlap = 0.0;  // of the observed mark about its share, where marked
};

Sums sums_of(const Stratum& stratum, const std::vector<char>& arrangement) {
  Sums sums;
  for (std::size_t i = 0; i < arrangement.size(); ++i) {
    if (!arrangement[i]) continue;
    sums.y += stratum.y[i];
    sums.overlap += static_cast<double>(stratum.mark[i]) - stratum.share;
  }
  return sums;
}

// Effect and overlap of one permutation, both over the sum of squares of the centred mark.
struct Shuffled {
  double effect = 0.0;   // a
  double overlap = 0.0;  // b, 1 for the marks as they are
};

std::vector<Shuffled> every_arrangement(const std::vector<Stratum>& strata) {
  std::vector<Shuffled> all{{0.0, 0.0}};
  for (const auto& stratum : strata) {
    std::vector<Shuffled> next;
    auto arrangement = stratum.mark;
    std::sort(arrangement.begin(), arrangement.end());
    do {
      const Sums sums = sums_of(stratum, arrangement);
      for (const auto& before : all)
        next.push_back({before.effect + sums.y, before.overlap + sums.overlap});
    } while (std::next_permutation(arrangement.begin(), arrangement.end()));
    all = std::move(next);
  }
  return all;
}

std::vector<Shuffled> drawn_arrangements(const std::vector<Stratum>& strata,
                                         const PermutationSettings& settings) {
  Random random(settings.seed, 0);
  std::vector<Shuffled> all;
  all.reserve(static_cast<std::size_t>(settings.permutations) + 1);
  const auto add = [&](bool shuffle) {
    Shuffled total;
    for (const auto& stratum : strata) {
      auto arrangement = stratum.mark;
      if (shuffle)
        for (std::size_t i = arrangement.size(); i > 1; --i)
          std::swap(
              arrangement[i - 1],
              arrangement[static_cast<std::size_t>(random.integer(0, static_cast<int>(i) - 1))]);
      const Sums sums = sums_of(stratum, arrangement);
      total.effect += sums.y;
      total.overlap += sums.overlap;
    }
    all.push_back(total);
  };
  add(false);
  for (int i = 0; i < settings.permutations; ++i) add(true);
  return all;
}

// The shifts d' for which this permutation's effect on y - d' mark is at least as large as what is
// left of the observed one: |a - b d'| >= |d - d'|, between the roots of the two equal signs.
std::pair<double, double> accepted_shifts(const Shuffled& shuffled, double effect) {
  constexpr double rounding = 1e-12;
  const double a = shuffled.effect;
  const double b = shuffled.overlap;
  const double minus = 1.0 - b > rounding ? (effect - a) / (1.0 - b) : -no_bound;
  const double plus = 1.0 + b > rounding ? (effect + a) / (1.0 + b) : no_bound;
  if (std::isinf(minus) || std::isinf(plus)) return {-no_bound, no_bound};
  return std::minmax(minus, plus);
}

}  // namespace

StratifiedEffect stratified_effect(const Eigen::VectorXd& y, const std::vector<bool>& marked,
                                   const Groups& groups, double level,
                                   const PermutationSettings& settings) {
  if (y.size() != static_cast<Eigen::Index>(marked.size()) || groups.rows() != y.size())
    throw std::invalid_argument("one mark and one stratum for each y are needed");
  StratifiedEffect result;
  const auto strata = informative_strata(y, marked, groups);
  double square = 0.0;  // of the centred mark
  double size = 0.0;
  double scale = 0.0;
  for (const auto& stratum : strata) {
    const auto n = static_cast<int>(stratum.mark.size());
    const auto m = static_cast<int>(std::lround(stratum.share * n));
    result.marked += m;
    result.others += n - m;
    square += n * stratum.share * (1.0 - stratum.share);
    size += n;
    for (const double value : stratum.y) scale = std::max(scale, std::abs(value));
  }
  result.strata = static_cast<int>(strata.size());
  result.left_out = static_cast<int>(y.size()) - result.marked - result.others;
  if (strata.empty()) return result;

  result.exact = permutation_count(strata) <= settings.most_exact;
  auto shuffles = result.exact ? every_arrangement(strata) : drawn_arrangements(strata, settings);
  Sums observed;
  for (const auto& stratum : strata) observed.y += sums_of(stratum, stratum.mark).y;
  result.effect = observed.y / square;
  result.permutations = static_cast<int>(shuffles.size());

  // Equal arrangements must compare equal though their sums were added in another order.
  const double tie = 1e-12 * scale * size / square;
  double as_large = 0.0;
  std::vector<double> lows;
  std::vector<double> highs;
  for (auto& shuffled : shuffles) {
    shuffled.effect /= square;
    shuffled.overlap /= square;
    as_large += std::abs(shuffled.effect) >= std::abs(result.effect) - tie ? 1.0 : 0.0;
    const auto [low, high] = accepted_shifts(shuffled, result.effect);
    lows.push_back(low);
    highs.push_back(high);
  }
  const double total = result.permutations;
  result.p = as_large / total;
  std::sort(lows.begin(), lows.end());
  std::sort(highs.begin(), highs.end(), std::greater<>());
  // p(shift) is the share of ends at or beyond the shift, so the interval ends where that share
  // falls to 1 - level.
  const auto place =
      std::min(static_cast<std::size_t>(std::floor((1.0 - level) * total + 1e-9)), lows.size() - 1);
  result.low = lows[place];
  result.high = highs[place];
  return result;
}

}  // namespace moundwork::stats
