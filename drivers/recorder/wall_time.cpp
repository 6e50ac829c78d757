// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/wall_time.h"

#include <fmt/format.h>

#include <charconv>

namespace moundwork::drivers {
namespace {

/// Takes `digits` digits off the front of `text`.
std::optional<int> take_number(std::string_view& text, std::size_t digits) {
  int number = 0;
  if (text.size() < digits) return std::nullopt;
  const auto [end, status] = std::from_chars(text.data(), text.data() + digits, number);
  if (status != std::errc{} || end != text.data() + digits || number < 0) return std::nullopt;
  text.remove_prefix(digits);
  return number;
}

bool take(std::string_view& text, char expected) {
  if (text.empty() || text.front() != expected) return false;
  text.remove_prefix(1);
  return true;
}

}  // namespace

std::string iso_text(WallTime time) {
  const auto day = std::chrono::floor<std::chrono::days>(time);
  const std::chrono::year_month_day date(day);
  const std::chrono::hh_mm_ss clock(time - day);
  return fmt::format("{:04d}-{:02d}-{:02d}T{:02d}:{:02d}:{:02d}.{:06d}Z", int(date.year()),
                     unsigned(date.month()), unsigned(date.day()), clock.hours().count(),
                     clock.minutes().count(), clock.seconds().count(), clock.subseconds().count());
}

std::optional<WallTime> from_iso_text(std::string_view text) {
  const auto year = take_number(text, 4);
  if (!year || !take(text, '-')) return std::nullopt;
  const auto month = take_number(text, 2);
  if (!month || !take(text, '-')) return std::nullopt;
  const auto day = take_number(text, 2);
  if (!day || !take(text, 'T')) return std::nullopt;
  const auto hour = take_number(text, 2);
  if (!hour || !take(text, ':')) return std::nullopt;
  const auto minute = take_number(text, 2);
  if (!minute || !take(text, ':')) return std::nullopt;
  const auto second = take_number(text, 2);
  if (!second) return std::nullopt;
  long micro = 0;
  if (take(text, '.')) {
    const auto fraction = take_number(text, 6);
    if (!fraction) return std::nullopt;
    micro = *fraction;
  }
  const std::chrono::year_month_day date{std::chrono::year{*year},
                                         std::chrono::month{static_cast<unsigned>(*month)},
                                         std::chrono::day{static_cast<unsigned>(*day)}};
  if (!take(text, 'Z') || !text.empty() || !date.ok() || *hour > 23 || *minute > 59 || *second > 60)
    return std::nullopt;
  return WallTime{std::chrono::sys_days(date)} + std::chrono::hours(*hour) +
         std::chrono::minutes(*minute) + std::chrono::seconds(*second) +
         std::chrono::microseconds(micro);
}

}  // namespace moundwork::drivers
