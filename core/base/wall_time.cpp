// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/wall_time.h"

#include <fmt/format.h>

#include <charconv>
#include <utility>

namespace moundwork {
namespace {

namespace chrono = std::chrono;

/// Takes `digits` digits off the front of `text`.
std::optional<int> take_number(std::string_view& text, std::size_t digits) {
  unsigned number = 0;  // without a sign
  if (text.size() < digits) return std::nullopt;
  const auto [end, status] = std::from_chars(text.data(), text.data() + digits, number);
  if (status != std::errc{} || end != text.data() + digits) return std::nullopt;
  text.remove_prefix(digits);
  return static_cast<int>(number);
}

bool take(std::string_view& text, char expected) {
  if (text.empty() || text.front() != expected) return false;
  text.remove_prefix(1);
  return true;
}

std::optional<chrono::year_month_day> take_date(std::string_view& text) {
  const auto year = take_number(text, 4);
  if (!year || !take(text, '-')) return std::nullopt;
  const auto month = take_number(text, 2);
  if (!month || !take(text, '-')) return std::nullopt;
  const auto day = take_number(text, 2);
  if (!day) return std::nullopt;
  const chrono::year_month_day date{chrono::year{*year},
                                    chrono::month{static_cast<unsigned>(*month)},
                                    chrono::day{static_cast<unsigned>(*day)}};
  if (!date.ok()) return std::nullopt;
  return date;
}

std::optional<chrono::microseconds> take_clock(std::string_view& text) {
  const auto hour = take_number(text, 2);
  if (!hour || !take(text, ':')) return std::nullopt;
  const auto minute = take_number(text, 2);
  if (!minute || !take(text, ':')) return std::nullopt;
  const auto second = take_number(text, 2);
  if (!second || *hour > 23 || *minute > 59 || *second > 60) return std::nullopt;
  chrono::microseconds clock =
      chrono::hours(*hour) + chrono::minutes(*minute) + chrono::seconds(*second);
  if (!take(text, '.')) return clock;
  constexpr int most_digits = 9;
  chrono::nanoseconds unit = chrono::seconds(1);
  chrono::nanoseconds fraction{0};
  int digits = 0;
  while (digits < most_digits) {
    const auto digit = take_number(text, 1);
    if (!digit) break;
    unit /= 10;
    fraction += *digit * unit;
    ++digits;
  }
  if (digits == 0) return std::nullopt;
  return clock + chrono::floor<chrono::microseconds>(fraction);
}

}  // namespace

WallTime wall_now() { return chrono::floor<chrono::microseconds>(chrono::system_clock::now()); }

std::string iso_text(WallTime time) {
  const auto day = chrono::floor<chrono::days>(time);
  const chrono::hh_mm_ss clock(time - day);
  return fmt::format("{}T{:02d}:{:02d}:{:02d}.{:06d}Z", iso_date(chrono::year_month_day(day)),
                     clock.hours().count(), clock.minutes().count(), clock.seconds().count(),
                     clock.subseconds().count());
}

std::string iso_now() { return iso_text(wall_now()); }

std::optional<WallTime> from_iso_text(std::string_view text) {
  const auto date = take_date(text);
  if (!date || !take(text, 'T')) return std::nullopt;
  const auto clock = take_clock(text);
  if (!clock || !take(text, 'Z') || !text.empty()) return std::nullopt;
  return WallTime{chrono::sys_days(*date)} + *clock;
}

std::string local_text(WallTime time, chrono::seconds utc_offset) {
  const WallTime shown = time + utc_offset;
  const auto day = chrono::floor<chrono::days>(shown);
  const chrono::hh_mm_ss clock(chrono::floor<chrono::seconds>(shown) - day);
  return fmt::format("{}T{:02d}:{:02d}:{:02d}", iso_date(chrono::year_month_day(day)),
                     clock.hours().count(), clock.minutes().count(), clock.seconds().count());
}

std::optional<chrono::year_month_day> date_of(std::string_view text) { return take_date(text); }

bool is_date(std::string_view text) { return take_date(text) && text.empty(); }

std::string iso_date(const chrono::year_month_day& date) {
  return fmt::format("{:04d}-{:02d}-{:02d}", int(date.year()), unsigned(date.month()),
                     unsigned(date.day()));
}

std::optional<int> age_at(std::string_view born, std::string_view day) {
  const auto from = date_of(born);
  const auto to = date_of(day);
  if (!from || !to || *to < *from) return std::nullopt;
  const int years = static_cast<int>(to->year()) - static_cast<int>(from->year());
  const bool before_birthday =
      std::pair(to->month(), to->day()) < std::pair(from->month(), from->day());
  return before_birthday ? years - 1 : years;
}

}  // namespace moundwork
