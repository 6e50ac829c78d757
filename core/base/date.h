// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string_view>

namespace moundwork {

/// Day of an ISO 8601 date or time ("2026-05-04", "2026-05-04T10:32:00Z"); nothing where the text
/// begins with none, or with one that no calendar has.
[[nodiscard]] std::optional<std::chrono::year_month_day> date_of(std::string_view text);

/// Whole years from a date of birth to a day, both as above; nothing where one of them is no date
/// or the birth comes after the day. Who is born on 29 February turns older on 1 March.
[[nodiscard]] std::optional<int> age_at(std::string_view born, std::string_view day);

}  // namespace moundwork
