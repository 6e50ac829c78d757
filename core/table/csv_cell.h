// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

/// Cells of every delimited text that this program writes.
namespace moundwork::table {

/// A text that no spreadsheet runs as a formula: one that begins with = + - @, a tab or a line
/// break gets an apostrophe before it, also after spaces or apostrophes of its own, so that taking
/// one apostrophe away gives back the original. Bytes that are not UTF-8 become U+FFFD.
[[nodiscard]] std::string harmless(std::string_view text);
/// What `harmless` was given.
[[nodiscard]] std::string original_of(std::string_view harmless_text);

/// In quotes where RFC 4180 wants them, else as it is.
[[nodiscard]] std::string quoted_cell(std::string_view text, char separator = ',');
/// Text as a cell: harmless, and in quotes where need be.
[[nodiscard]] std::string text_cell(std::string_view text, char separator = ',');

/// Number as a cell: '.' as decimal sign whatever the locale; empty where it is not finite. Digits
/// after the sign, or as few as give back the same double when `digits` is negative.
[[nodiscard]] std::string number_cell(double value, int digits = -1);

}  // namespace moundwork::table
