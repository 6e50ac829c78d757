// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/relate/pitches.h"
#include "core/stats/estimate.h"

/// Building blocks of the plain-language lines. None of them, and nothing made of them, says that
/// one thing brings another about.
namespace moundwork::relate {

/// The key as words: without underscores and without a unit at its end.
[[nodiscard]] std::string plain_name(const Quantity& quantity);
/// "12.3 N s", or "12.3" when the unit is not known; with the digits that `resolution` deserves.
[[nodiscard]] std::string with_unit(double value, double resolution, const std::string& unit);
/// The resolution that a spoken value deserves when its interval reaches so far either side: one
/// significant digit of it, two when that digit would be a 1 or a 2.
[[nodiscard]] constexpr double spoken(double half_width) { return 4.0 * half_width; }
/// A round number as it is.
[[nodiscard]] std::string step_with_unit(double step, const std::string& unit);
/// Two significant digits of `resolution` decide the decimals of `value`.
[[nodiscard]] std::string rounded(double value, double resolution);
/// The round number (1, 2 or 5 times a power of ten) nearest to a spread on a log scale.
[[nodiscard]] double round_step(double spread);
[[nodiscard]] std::string count_of(int count, std::string_view one, std::string_view many);
[[nodiscard]] std::string percent(double level);  ///< "95 %"
/// "95 % interval a to b", with the digits that `resolution` deserves.
[[nodiscard]] std::string interval(double low, double high, double level, double resolution);
/// "p = 0.03" or "p < 0.001".
[[nodiscard]] std::string p_words(double p);
[[nodiscard]] std::string capitalised(std::string text);

}  // namespace moundwork::relate
