// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <limits>
#include <vector>

#include "core/stats/groups.h"

namespace moundwork::stats {

/// How much y differs between marked rows and the others of the same stratum.
struct StratifiedEffect {
  double effect = std::numeric_limits<double>::quiet_NaN();  ///< marked minus others
  double p = std::numeric_limits<double>::quiet_NaN();
  double low = std::numeric_limits<double>::quiet_NaN();   ///< -infinity: the data set no limit
  double high = std::numeric_limits<double>::quiet_NaN();  ///< +infinity: likewise
  int marked = 0;                                          ///< rows used
  int others = 0;
  int strata = 0;         ///< that hold both kinds
  int left_out = 0;       ///< rows of strata with one kind only
  int marked_pieces = 0;  ///< what was permuted as one: rows, or whole pieces of them
  int other_pieces = 0;
  int permutations = 0;
  bool exact = false;  ///< every permutation was visited
};

struct PermutationSettings {
  int permutations = 9999;
  /// All of them are visited when there are no more than this.
  int most_exact = 20000;
  std::uint64_t seed = 1;
};

/// Marks permuted within strata. The effect is the least-squares slope of y on the mark with a
/// constant for each stratum (the mean difference weighted by marked x others / size). Two-sided p
/// is the share of permutations whose effect is at least as large, the one observed among them. The
/// interval holds the shifts that the same permutations do not reject at 1 - level (Pitman 1937;
/// Good 2005, Permutation, Parametric and Bootstrap Tests, 3.2): each permutation accepts an
/// interval of shifts about the effect, with a closed form, so the ends are order statistics.
[[nodiscard]] StratifiedEffect stratified_effect(const Eigen::VectorXd& y,
                                                 const std::vector<bool>& marked,
                                                 const Groups& strata, double level,
                                                 const PermutationSettings& settings);
/// The same with rows that belong together, as throws given in one run: rows of one piece and
/// stratum keep one mark, and whole pieces are permuted. Each arrangement's effect is the slope on
/// its own marks, of which there may be more or fewer where pieces differ in size. Throws
/// std::invalid_argument where a piece holds both kinds.
[[nodiscard]] StratifiedEffect stratified_effect(const Eigen::VectorXd& y,
                                                 const std::vector<bool>& marked,
                                                 const Groups& strata, const Groups& pieces,
                                                 double level, const PermutationSettings& settings);

}  // namespace moundwork::stats
