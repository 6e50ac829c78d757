// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/output/table.h"

/// What leaves the lab: tables for a spreadsheet, R or pandas, and recordings for other programs.
namespace moundwork::output {

/// A text that no spreadsheet runs as a formula: one that begins with = + - @, a tab or a line
/// break gets an apostrophe before it, also after spaces or apostrophes of its own, so that taking
/// one apostrophe away gives back the original. Bytes that are not UTF-8 become U+FFFD.
[[nodiscard]] std::string harmless(std::string_view text);

/// Text as a cell: harmless, and in quotes where RFC 4180 wants them.
[[nodiscard]] std::string text_cell(std::string_view text);

/// Number as a cell: '.' as decimal sign whatever the locale; empty where it is not finite. Digits
/// after the sign, or as few as give back the same double when `digits` is negative.
[[nodiscard]] std::string number_cell(double value, int digits = shortest);

/// Digits after the decimal sign for times of samples at `rate` Hz: rounding moves none by more
/// than a hundredth of the step between two.
[[nodiscard]] int time_digits(double rate);

/// A header line and the rows, RFC 4180 (lines end in CR LF), UTF-8 without a mark.
[[nodiscard]] Result<void> write_csv(const Table& table, const std::filesystem::path& path);

}  // namespace moundwork::output
