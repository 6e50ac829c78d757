// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

/// Wall time, its texts and the days of the calendar. Files keep UTC; what day that is somewhere is
/// core/base/time_zone.h.
namespace moundwork {

using WallTime = std::chrono::time_point<std::chrono::system_clock, std::chrono::microseconds>;

[[nodiscard]] WallTime wall_now();

/// ISO 8601 in UTC with microseconds: 2026-04-18T09:30:00.000000Z.
[[nodiscard]] std::string iso_text(WallTime time);
/// Now, likewise.
[[nodiscard]] std::string iso_now();
/// The same back, with or without a fraction of up to nine digits, whose seventh and later ones are
/// dropped; nothing for other text.
[[nodiscard]] std::optional<WallTime> from_iso_text(std::string_view text);

/// What a clock shows that is `utc_offset` ahead of UTC: 2026-04-18T11:30:00, without a 'Z'.
[[nodiscard]] std::string local_text(WallTime time, std::chrono::seconds utc_offset);

/// Day of an ISO 8601 date or time ("2026-05-04", "2026-05-04T10:32:00Z"); nothing where the text
/// begins with none, or with one that no calendar has.
[[nodiscard]] std::optional<std::chrono::year_month_day> date_of(std::string_view text);
/// Whether the whole text is such a date, without a time.
[[nodiscard]] bool is_date(std::string_view text);
/// 2026-05-04.
[[nodiscard]] std::string iso_date(const std::chrono::year_month_day& date);

/// Whole years from a date of birth to a day, both as above; nothing where one of them is no date
/// or the birth comes after the day. Who is born on 29 February turns older on 1 March.
[[nodiscard]] std::optional<int> age_at(std::string_view born, std::string_view day);

}  // namespace moundwork
