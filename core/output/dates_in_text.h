// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstddef>
#include <span>
#include <string_view>

namespace moundwork::output {

/// How many letters of a folded text (core/base/folded_text.h) from `at` on are one of the dates,
/// as people write one: day, month and year in any usual order, the month as a number or a name
/// (English, German, French, Spanish, Italian, Dutch, Portuguese, three letters or more), the year
/// with four digits or two, with signs or blanks between or as 8 or 6 digits; 0 where none begins
/// there. A day and month without a year is none.
[[nodiscard]] std::size_t date_at(std::u32string_view letters, std::size_t at,
                                  std::span<const std::chrono::year_month_day> dates);

}  // namespace moundwork::output
