// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/folded_text.h"

#include <utf8proc.h>

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace moundwork {
namespace {

using namespace std::string_view_literals;

constexpr char32_t replacement = 0xFFFD;
constexpr char32_t diaeresis = 0x308;
constexpr char32_t ring = 0x30A;
constexpr char32_t tatweel = 0x640;  // stretches an Arabic word

// What decomposition leaves as it is, though it is typed in place of one another.
struct Alike {
  char32_t from;
  std::u32string_view to;
};
constexpr std::array alike{
    Alike{U'ı', U"i"sv},      Alike{U'ø', U"o"sv},      Alike{U'ł', U"l"sv},
    Alike{U'đ', U"d"sv},      Alike{U'ð', U"d"sv},      Alike{U'ħ', U"h"sv},
    Alike{U'ŧ', U"t"sv},      Alike{U'æ', U"ae"sv},     Alike{U'œ', U"oe"sv},
    Alike{U'þ', U"th"sv},     Alike{U'\u2018', U"'"sv}, Alike{U'\u2019', U"'"sv},
    Alike{U'\u02BC', U"'"sv}, Alike{U'`', U"'"sv},      Alike{U'\u2212', U"-"sv}};

// First digits of the decimal digits people type dates with: Arabic, Persian, Devanagari, Bengali,
// Thai.
constexpr std::array<char32_t, 5> zeros{0x660, 0x6F0, 0x966, 0x9E6, 0xE50};

// Accents and overlays of Latin, Greek and Cyrillic, points of Hebrew and Arabic, by canonical
// combining class (UAX 44). Vowel signs of other scripts are letters.
bool is_accent(char32_t letter) {
  const int order = utf8proc_get_property(static_cast<utf8proc_int32_t>(letter))->combining_class;
  return order == 1 || (order >= 10 && order <= 36) || order >= 200;
}

class Folder {
 public:
  explicit Folder(Umlauts umlauts) : umlauts_(umlauts) {}

  void add(char32_t letter, std::size_t begin, std::size_t end) {
    begin_ = begin;
    end_ = end;
    if (is_accent(letter)) return accent(letter);
    if (letter == tatweel) return;
    if (letter >= 0x2010 && letter <= 0x2015) return put(U'-');
    if (letter == U'ø' && umlauts_ == Umlauts::spelt_out) {
      put(U'o');
      return put(U'e');
    }
    for (const char32_t zero : zeros)
      if (letter >= zero && letter < zero + 10) return put(U'0' + (letter - zero));
    const auto found = std::find_if(alike.begin(), alike.end(),
                                    [letter](const Alike& one) { return one.from == letter; });
    if (found == alike.end()) return put(letter);
    for (const char32_t one : found->to) put(one);
  }

  FoldedText take() { return std::move(text_); }

 private:
  void accent(char32_t letter) {
    if (text_.letters.empty()) return;
    const char32_t base = text_.letters.back();
    const bool spelt = umlauts_ == Umlauts::spelt_out;
    if (spelt && letter == diaeresis && (base == U'a' || base == U'o' || base == U'u'))
      return put(U'e');
    if (spelt && letter == ring && base == U'a') return put(U'a');
    text_.end.back() = end_;
  }

  void put(char32_t letter) {
    text_.letters += letter;
    text_.begin.push_back(begin_);
    text_.end.push_back(end_);
  }

  Umlauts umlauts_;
  FoldedText text_;
  std::size_t begin_ = 0, end_ = 0;
};

}  // namespace

bool FoldedText::divides_source(std::size_t at) const {
  return at == 0 || at >= letters.size() || begin[at - 1] != begin[at];
}

FoldedText folded(std::string_view text, Umlauts umlauts) {
  Folder folder(umlauts);
  const auto* const bytes = reinterpret_cast<const utf8proc_uint8_t*>(text.data());
  for (std::size_t at = 0; at < text.size();) {
    utf8proc_int32_t character = 0;
    const utf8proc_ssize_t size =
        utf8proc_iterate(bytes + at, static_cast<utf8proc_ssize_t>(text.size() - at), &character);
    if (size <= 0) {
      folder.add(replacement, at, at + 1);
      ++at;
      continue;
    }
    const std::size_t end = at + static_cast<std::size_t>(size);
    // The longest decomposition, of U+FDFA, has 18 characters.
    std::array<utf8proc_int32_t, 32> parts{};
    int boundary = 0;
    constexpr auto options = static_cast<utf8proc_option_t>(UTF8PROC_COMPAT | UTF8PROC_DECOMPOSE |
                                                            UTF8PROC_CASEFOLD | UTF8PROC_IGNORE);
    const utf8proc_ssize_t count = utf8proc_decompose_char(
        character, parts.data(), static_cast<utf8proc_ssize_t>(parts.size()), options, &boundary);
    for (utf8proc_ssize_t i = 0; i < std::min<utf8proc_ssize_t>(count, parts.size()); ++i)
      folder.add(static_cast<char32_t>(parts[static_cast<std::size_t>(i)]), at, end);
    at = end;
  }
  return folder.take();
}

bool is_word_letter(char32_t letter) {
  switch (utf8proc_category(static_cast<utf8proc_int32_t>(letter))) {
    case UTF8PROC_CATEGORY_LU:
    case UTF8PROC_CATEGORY_LL:
    case UTF8PROC_CATEGORY_LT:
    case UTF8PROC_CATEGORY_LM:
    case UTF8PROC_CATEGORY_LO:
    case UTF8PROC_CATEGORY_MN:
    case UTF8PROC_CATEGORY_MC:
    case UTF8PROC_CATEGORY_ME:
    case UTF8PROC_CATEGORY_ND:
    case UTF8PROC_CATEGORY_NL:
    case UTF8PROC_CATEGORY_NO:
      return true;
    default:
      return false;
  }
}

bool writes_without_blanks(char32_t letter) {
  // Blocks of the Unicode Standard, chapter "Code Charts". Korean syllables fold to their parts.
  const auto within = [letter](char32_t first, char32_t last) {
    return letter >= first && letter <= last;
  };
  return within(0xE00, 0xEFF) || within(0x1000, 0x109F) || within(0x1100, 0x11FF) ||
         within(0x1780, 0x17FF) || within(0x3040, 0xD7FF) || within(0xF900, 0xFAFF) ||
         within(0x1B000, 0x1B16F) || within(0x20000, 0x3FFFF);
}

}  // namespace moundwork
