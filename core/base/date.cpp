// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/date.h"

#include <charconv>
#include <utility>

namespace moundwork {

std::optional<std::chrono::year_month_day> date_of(std::string_view text) {
  if (text.size() < 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  const auto read = [&](std::size_t from, std::size_t to, auto& number) {
    return std::from_chars(text.data() + from, text.data() + to, number).ptr == text.data() + to;
  };
  unsigned year = 0, month = 0, day = 0;  // without a sign
  if (!read(0, 4, year) || !read(5, 7, month) || !read(8, 10, day)) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(static_cast<int>(year)),
                                         std::chrono::month(month), std::chrono::day(day)};
  if (!date.ok()) return std::nullopt;
  return date;
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
