// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/foot/window.h"

namespace moundwork::foot {

/// One foot's ground reaction on an even time grid, filtered, as events and quantities read it.
/// Lab frame, SI.
struct FootForces {
  double start = 0.0;           ///< session time of the first sample, s
  double step = 0.0;            ///< s
  Eigen::ArrayXd x, y, z;       ///< N, low-passed
  Eigen::ArrayXd contact_z;     ///< N, vertical under the lighter low-pass
  Eigen::ArrayXd raw_x, raw_z;  ///< N, not filtered
  Eigen::ArrayXd cop_x, cop_y;  ///< m; NaN below the settings' least_turning_force
  Eigen::ArrayXd free_moment;   ///< N m about the plate's normal
  /// White noise of one unfiltered sample of each wrench component, N and N m about `centre`.
  Eigen::Array<double, 1, 6> noise = Eigen::Array<double, 1, 6>::Zero();
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();  ///< of the plate's surface, m

  [[nodiscard]] Eigen::Index size() const { return z.size(); }
  [[nodiscard]] double time(double index) const { return start + index * step; }
  [[nodiscard]] double index(double time) const { return (time - start) / step; }
};

/// One of several plates' part of its foot's forces, low-passed, on the foot's samples. Lab, SI.
struct PlateShare {
  double start = 0.0;           ///< session time of the first sample, s
  Eigen::ArrayXd x, y, z;       ///< N
  Eigen::ArrayXd cop_x, cop_y;  ///< m; NaN below the settings' least_turning_force
};

struct FilteredFoot {
  FootForces once;
  FootForces twice;  ///< with every low-pass a second time, to see what the first took
};

/// Consecutive samples of a window.
struct RowRange {
  Eigen::Index first = 0, count = 0;
};

/// Of some of a window's samples. Fails when the plate was sampled too slowly for the filters.
[[nodiscard]] Result<FilteredFoot> filter_forces(const PlateWindow& window, RowRange rows,
                                                 const definitions::Settings& settings);

[[nodiscard]] Result<PlateShare> filter_share(const PlateWindow& window, RowRange rows,
                                              const definitions::Settings& settings);

/// The vertical force alone of the whole window, filtered once; the other series are empty.
[[nodiscard]] Result<FootForces> filter_vertical(const PlateWindow& window,
                                                 const definitions::Settings& settings);

}  // namespace moundwork::foot
