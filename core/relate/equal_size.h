// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/stats/correlation.h"
#include "core/stats/estimate.h"
#include "core/stats/groups.h"

namespace moundwork::relate {

/// Athletes compared at equal body size: whoever is bigger or older pushes harder and throws
/// faster, whatever the technique.
struct EqualSize {
  stats::Correlation correlation;  ///< of athlete means; NaN where `why_not` says why
  /// The same with the square of age as well: growth levels off, so a straight line leaves some of
  /// it in both. NaN without ages, or with too few athletes for one more.
  stats::Correlation with_curve;
  stats::Estimate slope;           ///< ball speed per unit at equal size, t interval
  std::vector<std::string> given;  ///< "mass" (its logarithm), "height", "age", where they vary
  int athletes = 0;                ///< whose mass is known
  std::string why_not;             ///< a sentence
};

/// `x` and `y`: means by athlete (athletes); `rows` are grouped by `athletes`. Needs ten athletes
/// more than covariates, and masses: without them size cannot be told from technique.
[[nodiscard]] EqualSize at_equal_size(const Pitches& pitches, const std::vector<int>& rows,
                                      const stats::Groups& athletes, const Eigen::VectorXd& x,
                                      const Eigen::VectorXd& y, double level);

}  // namespace moundwork::relate
