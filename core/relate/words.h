// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/base/shown_number.h"
#include "core/relate/pitches.h"

/// Values of the plain-language lines. No line says that one thing brings another about.
namespace moundwork::relate {

/// The name that people know the catalogue's quantity by; a column's own without underscores and
/// without a unit at its end.
[[nodiscard]] std::string plain_name(const Quantity& quantity);
/// "12.3 N s", or "12.3" when the unit is not known; with the digits that `resolution` deserves.
[[nodiscard]] std::string amount(double value, double resolution, const Quantity& quantity);
/// The size of a difference: percent of what, where it is percent of something.
[[nodiscard]] std::string difference_size(double value, double resolution,
                                          const Quantity& quantity);
/// "0.4 m/s more", "13 % of the foot nearer the heel", "no difference" where it rounds to zero.
[[nodiscard]] std::string difference_words(double difference, double resolution,
                                           const Quantity& quantity);
/// "10 N s more braking impulse".
[[nodiscard]] std::string more_of(double step, const Quantity& quantity);
/// A number as it was set or typed, to six digits: "0.5 kPa".
[[nodiscard]] std::string as_it_is(double value, std::string_view unit);
/// The round number (1, 2 or 5 times a power of ten) nearest to a spread on a log scale.
[[nodiscard]] double round_step(double spread);
/// For lines that stay English.
[[nodiscard]] std::string count_of(int count, std::string_view one, std::string_view many);
[[nodiscard]] std::string counted_pitches(int count);   ///< "12 pitches"
[[nodiscard]] std::string counted_athletes(int count);  ///< "3 athletes"
[[nodiscard]] std::string percent(double level);        ///< "95 %"
/// "95 % interval a to b", with the digits that `resolution` deserves.
[[nodiscard]] std::string interval(double low, double high, double level, double resolution);
/// "p = 0.03" or "p < 0.001".
[[nodiscard]] std::string p_words(double p);
[[nodiscard]] std::string capitalised(std::string text);

}  // namespace moundwork::relate
