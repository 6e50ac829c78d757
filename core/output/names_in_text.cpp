// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/names_in_text.h"

#include <algorithm>
#include <numeric>
#include <utility>

#include "core/base/wall_time.h"
#include "core/output/dates_in_text.h"

namespace moundwork::output {
namespace {

constexpr std::size_t least_name = 2;
// "jo" and "li" run together would be found in too many texts; "oneil" is a word of its own.
constexpr std::size_t least_joined = 6;
constexpr std::size_t least_joined_word = 5;
constexpr std::size_t least_id = 3;

bool divides(char32_t before, char32_t after) {
  return !is_word_letter(before) || !is_word_letter(after) || writes_without_blanks(before) ||
         writes_without_blanks(after);
}

bool divides_at(const FoldedText& text, std::size_t at) {
  return at == 0 || at >= text.letters.size() || divides(text.letters[at - 1], text.letters[at]);
}

// Words between blanks, and within them the parts between any signs: "Anna-Lena" has two.
struct NameParts {
  std::vector<std::string> parts;
  std::vector<std::string> joined;  // words between blanks that have several parts, in one
};

NameParts parts_of(const std::string& name) {
  const FoldedText text = folded(name);
  NameParts found;
  std::string part;
  std::vector<std::string> of_word;
  const auto end_part = [&] {
    if (!part.empty()) of_word.push_back(std::exchange(part, {}));
  };
  const auto end_word = [&] {
    end_part();
    if (of_word.size() > 1)
      found.joined.push_back(std::accumulate(of_word.begin(), of_word.end(), std::string()));
    found.parts.insert(found.parts.end(), of_word.begin(), of_word.end());
    of_word.clear();
  };
  for (std::size_t i = 0; i < text.letters.size(); ++i) {
    if (text.letters[i] == U' ' || text.letters[i] == U'\t')
      end_word();
    else if (!is_word_letter(text.letters[i]))
      end_part();
    else if (text.divides_source(i))
      part += name.substr(text.begin[i], text.end[i] - text.begin[i]);
  }
  end_word();
  return found;
}

}  // namespace

void NamesInText::add(std::string_view word, std::size_t least, const std::string& code) {
  for (const Umlauts umlauts : {Umlauts::dropped, Umlauts::spelt_out}) {
    std::u32string letters = folded(word, umlauts).letters;
    const bool letter_enough = !letters.empty() && writes_without_blanks(letters.front());
    // A single ideograph may be a whole name.
    if (letters.empty() || (letters.size() < least && !letter_enough)) continue;
    if (std::none_of(words_.begin(), words_.end(),
                     [&](const Word& known) { return known.letters == letters; }))
      words_.push_back({std::move(letters), code});
  }
}

void NamesInText::know(const session::Athlete& athlete, const std::string& code) {
  add(athlete.name, least_name, code);
  const NameParts name = parts_of(athlete.name);
  for (const std::string& part : name.parts) add(part, least_name, code);
  for (const std::string& word : name.joined) add(word, least_joined_word, code);
  if (name.parts.size() > 1) {
    const auto join = [&](auto first, auto last) {
      add(std::accumulate(first, last, std::string()), least_joined, code);
    };
    join(name.parts.begin(), name.parts.end());
    join(name.parts.rbegin(), name.parts.rend());
    add(name.parts.front() + name.parts.back(), least_joined, code);
    add(name.parts.back() + name.parts.front(), least_joined, code);
  }
  add(athlete.id, least_id, code);
  if (const auto born = date_of(athlete.born)) births_.push_back(*born);
  std::stable_sort(words_.begin(), words_.end(), [](const Word& a, const Word& b) {
    return a.letters.size() > b.letters.size();
  });
}

std::string NamesInText::cleaned(const std::string& text, Umlauts umlauts) const {
  const FoldedText small = folded(text, umlauts);
  std::string clean;
  std::size_t copied = 0;  // bytes of the text
  for (std::size_t at = 0; at < small.letters.size();) {
    std::size_t length = 0;
    std::string code;
    if (small.divides_source(at)) {
      length = date_at(small.letters, at, births_);
      if (length > 0) {
        code = "(date of birth)";
      } else if (divides_at(small, at)) {
        const auto found = std::find_if(words_.begin(), words_.end(), [&](const Word& word) {
          const std::size_t end = at + word.letters.size();
          return small.letters.compare(at, word.letters.size(), word.letters) == 0 &&
                 divides_at(small, end) && small.divides_source(end);
        });
        if (found != words_.end()) {
          length = found->letters.size();
          code = found->code;
        }
      }
    }
    if (length == 0) {
      ++at;
      continue;
    }
    clean.append(text, copied, small.begin[at] - copied);
    clean += code;
    at += length;
    copied = small.end[at - 1];
  }
  return clean.append(text, copied);
}

std::string NamesInText::cleaned(const std::string& text) const {
  // A name that is typed with dots may be known without, and the other way round.
  return cleaned(cleaned(text, Umlauts::dropped), Umlauts::spelt_out);
}

}  // namespace moundwork::output
