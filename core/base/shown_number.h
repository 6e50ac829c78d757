// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

#include "core/base/measured.h"

/// Numbers as people read them, on pages, in the window, in sentences and in the tables of
/// commands: with the digits that their uncertainty deserves, never with an exponent, never "nan",
/// with a true minus sign. Files and JSON have numbers of their own.
namespace moundwork {

/// What stands for a number that is not known.
[[nodiscard]] std::string not_known();

/// `value` to two significant digits of `resolution`; of its own where that is not known. A value
/// that rounds to zero has no sign.
[[nodiscard]] std::string rounded(double value, double resolution);
/// The resolution of a value with this uncertainty, or interval that reaches so far either side:
/// `rounded` then shows one significant digit of it, two where the first would be a 1 or a 2.
[[nodiscard]] constexpr double spoken(double uncertainty) { return 4.0 * uncertainty; }

/// `value` with the digits that its uncertainty (or half width) deserves; with three to four where
/// that is not known.
[[nodiscard]] std::string number_text(double value, double uncertainty);
/// The same for a difference, with its sign: "+0.4", "−0.4", "0.0".
[[nodiscard]] std::string signed_text(double value, double uncertainty);
/// "36.4 ± 0.3": value and standard uncertainty; "36.4" where that is not known.
[[nodiscard]] std::string measured_text(const Measured& measured);
/// A coarse value to so many decimals.
[[nodiscard]] std::string plain_text(double value, int decimals);

/// "36.4 mph", "12°", and "0.40" where the unit is 1 or not known.
[[nodiscard]] std::string with_unit(const std::string& number, std::string_view unit);

/// True minus signs as hyphens, as they are typed: for a terminal, whose text goes into other
/// programs.
[[nodiscard]] std::string typed_minus(std::string text);

}  // namespace moundwork
