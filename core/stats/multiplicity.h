// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

namespace moundwork::stats {

/// Adjusted p of each test so that calling those at or below q keeps the expected share of false
/// calls at or below q (Benjamini and Hochberg 1995, JRSS-B 57:289). NaN stays NaN and is not
/// counted as a test.
[[nodiscard]] std::vector<double> benjamini_hochberg(std::span<const double> p);

}  // namespace moundwork::stats
