// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/folded_text.h"
#include "core/session/session.h"

namespace moundwork::output {

/// Finds people in free texts (UTF-8), to put a code in their place. Words are compared folded
/// (core/base/folded_text.h): capitals, accents, the way letters are encoded and what is not drawn
/// make no difference. docs/tables.md lists what is found and what is not.
class NamesInText {
 public:
  /// From here on this athlete's name, its parts in any order, id and date of birth are found. An
  /// id of fewer than three characters and a single letter are not: they are in too many texts.
  void know(const session::Athlete& athlete, const std::string& code);

  /// A whole word that is known is the code; in scripts without blanks between words, anywhere. A
  /// part of a name goes too where it is meant as an ordinary word: better one word too many.
  [[nodiscard]] std::string cleaned(const std::string& text) const;

 private:
  struct Word {
    std::u32string letters;
    std::string code;
  };
  void add(std::string_view word, std::size_t least, const std::string& code);
  [[nodiscard]] std::string cleaned(const std::string& text, Umlauts umlauts) const;

  std::vector<Word> words_;  // longest first
  std::vector<std::chrono::year_month_day> births_;
};

}  // namespace moundwork::output
