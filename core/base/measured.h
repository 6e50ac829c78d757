// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <limits>

namespace moundwork {

/// A value with its standard uncertainty (JCGM 100), both in the same SI unit.
/// `value` is NaN where the quantity could not be measured.
struct Measured {
  double value = std::numeric_limits<double>::quiet_NaN();
  double u = std::numeric_limits<double>::quiet_NaN();

  [[nodiscard]] bool known() const { return std::isfinite(value); }
};

}  // namespace moundwork
