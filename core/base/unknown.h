// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>

namespace moundwork {

/// A number that is not known, wherever one stands for it.
inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

}  // namespace moundwork
