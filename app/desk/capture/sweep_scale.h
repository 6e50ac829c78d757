// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace moundwork::desk {

/// Where a moment stands on a picture that is written from left to right and then begins anew on
/// the left, the oldest being wiped ahead of the newest. x in shares of the width.
struct SweepTime {
  double span = 8.0;    ///< s across the picture
  double ahead = 0.35;  ///< s wiped ahead of the newest

  [[nodiscard]] double x(double time) const;
};

/// What a panel shows from bottom to top, N. Only grows: a scale that moves about hides what
/// changed.
struct ForceScale {
  double low = -1.0, high = 1.0;
  double step = 1.0;  ///< from one line of the grid to the next, N

  /// True when the scale had to grow for this value.
  bool take(double value);
  [[nodiscard]] double y(double value) const;  ///< share of the height from the top
  [[nodiscard]] std::vector<double> lines() const;
};

/// Scales of the throwing line, sideways and vertical for a body weight (N), as pitchers load
/// plates (common practice); grid steps are whole parts of `unit` (N in one of the shown unit).
[[nodiscard]] std::array<ForceScale, 3> usual_scales(double body_weight, double unit);

/// A line that is told from another by its dashes: whether this bin belongs to a gap between
/// dashes. Bins keep their numbers, so the dashes stay where they are.
[[nodiscard]] constexpr bool in_dash_gap(std::int64_t bin) { return bin % 36 >= 24; }

}  // namespace moundwork::desk
