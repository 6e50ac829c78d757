// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "core/base/result.h"
#include "core/output/table.h"

/// What leaves the lab: tables for a spreadsheet, R or pandas, and recordings for other programs.
namespace moundwork::output {

/// Digits after the decimal sign for times of samples at `rate` Hz: rounding moves none by more
/// than a hundredth of the step between two.
[[nodiscard]] int time_digits(double rate);

/// A header line and the rows, RFC 4180 (lines end in CR LF), UTF-8 without a mark.
[[nodiscard]] Result<void> write_csv(const Table& table, const std::filesystem::path& path);

}  // namespace moundwork::output
