// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/safety/age.h"

#include <charconv>
#include <chrono>

namespace moundwork::safety {
namespace {

std::optional<int> number(std::string_view text) {
  int value = 0;
  const char* const end = text.data() + text.size();
  if (std::from_chars(text.data(), end, value).ptr != end || value < 0) return std::nullopt;
  return value;
}

std::optional<std::chrono::year_month_day> day_of(std::string_view text) {
  constexpr std::size_t length = 10;  // 2026-05-01
  if (text.size() < length || text[4] != '-' || text[7] != '-') return std::nullopt;
  if (text.size() > length && text[length] != 'T' && text[length] != ' ') return std::nullopt;
  const auto year = number(text.substr(0, 4));
  const auto month = number(text.substr(5, 2));
  const auto day = number(text.substr(8, 2));
  if (!year || !month || !day) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(*year),
                                         std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  return date.ok() ? std::optional(date) : std::nullopt;
}

}  // namespace

std::optional<int> age_on(std::string_view born, std::string_view day) {
  const auto from = day_of(born);
  const auto to = day_of(day);
  if (!from || !to || *to < *from) return std::nullopt;
  const int years = static_cast<int>(to->year()) - static_cast<int>(from->year());
  const bool before_birthday =
      to->month() < from->month() || (to->month() == from->month() && to->day() < from->day());
  return before_birthday ? years - 1 : years;
}

}  // namespace moundwork::safety
