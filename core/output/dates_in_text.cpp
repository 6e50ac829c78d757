// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/dates_in_text.h"

#include <algorithm>
#include <array>
#include <optional>

#include "core/base/folded_text.h"

namespace moundwork::output {
namespace {

using namespace std::string_view_literals;
using std::chrono::year_month_day;
using Text = std::u32string_view;

// Folded, so without accents. A word that begins one of them and has three letters is a month.
constexpr std::array<std::array<Text, 7>, 12> months{{
    {U"january", U"januar", U"janner", U"janvier", U"enero", U"gennaio", U"janeiro"},
    {U"february", U"februar", U"fevrier", U"febrero", U"febbraio", U"februari", U"fevereiro"},
    {U"march", U"marz", U"maerz", U"mars", U"marzo", U"maart", U"marco"},
    {U"april", U"avril", U"abril", U"aprile"},
    {U"may", U"mai", U"mayo", U"maggio", U"mei", U"maio"},
    {U"june", U"juni", U"juin", U"junio", U"giugno", U"junho"},
    {U"july", U"juli", U"juillet", U"julio", U"luglio", U"julho"},
    {U"august", U"aout", U"agosto", U"augustus"},
    {U"september", U"septembre", U"septiembre", U"settembre", U"setembro", U"sept"},
    {U"october", U"oktober", U"octobre", U"octubre", U"ottobre", U"outubro"},
    {U"november", U"novembre", U"noviembre", U"novembro"},
    {U"december", U"dezember", U"decembre", U"diciembre", U"dicembre", U"dezembro"},
}};

bool is_digit(char32_t c) { return c >= U'0' && c <= U'9'; }
bool is_letter(char32_t c) { return is_word_letter(c) && !is_digit(c); }
bool is_separator(char32_t c) {
  // The last three stand behind year, month and day in Chinese and Japanese.
  return U" \t\n\r.,/\\-_'~年月日"sv.find(c) != Text::npos;
}

struct Token {
  unsigned digits = 0;  // how many; 0 for a name
  unsigned number = 0;
  unsigned named = 0;  // a bit for each month that the name may be
  std::size_t end = 0;
};

char32_t letter_at(Text text, std::size_t at) { return at < text.size() ? text[at] : U' '; }

unsigned months_named(Text word) {
  unsigned named = 0;
  for (std::size_t m = 0; word.size() >= 3 && m < months.size(); ++m)
    for (const Text month : months[m])
      if (month.starts_with(word)) named |= 1U << m;
  return named;
}

// Past the ending of an ordinal number, "3rd".
std::size_t past_ordinal(Text text, std::size_t at) {
  for (const Text ending : {U"st"sv, U"nd"sv, U"rd"sv, U"th"sv, U"er"sv, U"o"sv})
    if (text.substr(at).starts_with(ending) && !is_word_letter(letter_at(text, at + ending.size())))
      return at + ending.size();
  return at;
}

std::optional<Token> token_at(Text text, std::size_t at) {
  Token token;
  token.end = at;
  constexpr unsigned most_digits = 8;
  if (is_digit(letter_at(text, at))) {
    for (; is_digit(letter_at(text, token.end)); ++token.end) {
      if (++token.digits > most_digits) return std::nullopt;
      token.number = token.number * 10 + static_cast<unsigned>(text[token.end] - U'0');
    }
    if (token.digits <= 2) token.end = past_ordinal(text, token.end);
    return token;
  }
  while (is_letter(letter_at(text, token.end)) && !is_separator(text[token.end])) ++token.end;
  token.named = months_named(text.substr(at, token.end - at));
  if (token.named == 0) return std::nullopt;
  return token;
}

// Where the next part of a date would begin.
struct Next {
  std::size_t at = 0;
  bool worded = false;  // "of" stands between
};

Next past_separators(Text text, std::size_t at) {
  constexpr std::size_t most = 4;
  const auto past_signs = [text](std::size_t from) {
    std::size_t end = from;
    while (end < text.size() && end < from + most && is_separator(text[end])) ++end;
    return end;
  };
  Next next{past_signs(at)};
  for (const Text word : {U"of"sv, U"de"sv, U"del"sv, U"the"sv}) {
    if (!text.substr(next.at).starts_with(word)) continue;
    const std::size_t after = past_signs(next.at + word.size());
    if (after > next.at + word.size()) next = {after, true};
  }
  return next;
}

bool is_day(const Token& token, const year_month_day& date) {
  return (token.digits == 1 || token.digits == 2) &&
         token.number == static_cast<unsigned>(date.day());
}
bool is_month(const Token& token, const year_month_day& date) {
  const auto month = static_cast<unsigned>(date.month());
  return token.digits == 0 ? (token.named >> (month - 1) & 1U) != 0
                           : token.digits <= 2 && token.number == month;
}
bool is_year(const Token& token, const year_month_day& date) {
  const auto year = static_cast<unsigned>(static_cast<int>(date.year()));
  return (token.digits == 4 && token.number == year) ||
         (token.digits == 2 && token.number == year % 100);
}

bool is_date(const std::array<Token, 3>& t, const year_month_day& date) {
  const auto order = [&](std::size_t year, std::size_t month, std::size_t day) {
    return is_year(t[year], date) && is_month(t[month], date) && is_day(t[day], date);
  };
  return order(0, 1, 2) || order(0, 2, 1) || order(2, 1, 0) || order(2, 0, 1);
}

// "20090203" and "090203", in the three orders.
bool is_date(const Token& token, const year_month_day& date) {
  if (token.digits != 8 && token.digits != 6) return false;
  const unsigned year_size = token.digits == 8 ? 10000 : 100;
  const unsigned year = static_cast<unsigned>(static_cast<int>(date.year())) % year_size;
  const auto month = static_cast<unsigned>(date.month());
  const auto day = static_cast<unsigned>(date.day());
  return token.number == (year * 100 + month) * 100 + day ||
         token.number == (day * 100 + month) * year_size + year ||
         token.number == (month * 100 + day) * year_size + year;
}

bool ends(Text text, const Token& last) {
  const char32_t next = letter_at(text, last.end);
  // A time of day may follow a number without a blank.
  return last.digits > 0 ? !is_digit(next) : !is_letter(next);
}

}  // namespace

std::size_t date_at(Text letters, std::size_t at, std::span<const year_month_day> dates) {
  if (dates.empty()) return 0;
  const char32_t before = at == 0 ? U' ' : letters[at - 1];
  if (is_digit(letter_at(letters, at)) ? is_digit(before) : is_word_letter(before)) return 0;
  const auto any = [dates](const auto& tokens) {
    return std::any_of(dates.begin(), dates.end(),
                       [&](const year_month_day& date) { return is_date(tokens, date); });
  };
  std::array<Token, 3> tokens;
  bool worded = false, named = false;
  Next next{at};
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const auto token = token_at(letters, next.at);
    if (!token) return 0;
    if (i == 0 && ends(letters, *token) && any(*token)) return token->end - at;
    // Two numbers with nothing between are one.
    if (i > 0 && next.at == tokens[i - 1].end && token->digits > 0 && tokens[i - 1].digits > 0)
      return 0;
    tokens[i] = *token;
    named = named || token->digits == 0;
    if (i + 1 == tokens.size()) break;
    next = past_separators(letters, token->end);
    worded = worded || next.worded;
  }
  // "throw 3, 2 of 2009" is no date.
  if (worded && !named) return 0;
  return ends(letters, tokens[2]) && any(tokens) ? tokens[2].end - at : 0;
}

}  // namespace moundwork::output
