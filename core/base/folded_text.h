// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace moundwork {

/// How letters with two dots or a ring, and the Nordic o, are compared: as the plain letter
/// ("Müller" as "Muller"), or as it is spelt without them ("Mueller").
enum class Umlauts { dropped, spelt_out };

/// A text (UTF-8) by which one word typed in different ways is the same: compatibility
/// decomposition and full case folding of the Unicode Standard (UAX 15; section 5.18), without
/// accents, points of Hebrew and Arabic, and characters that are not drawn (soft hyphens, joiners).
/// Letters with a stroke are as without it, digits as ASCII's, apostrophes and dashes as ASCII's.
struct FoldedText {
  std::u32string letters;
  /// Of each letter: the bytes of the text [begin, end) that it came from, with accents that were
  /// left out. Several letters may have come from one place; what is not drawn lies between.
  std::vector<std::size_t> begin, end;

  /// Whether a piece may begin or end before letter `at`: not amid letters that came from one
  /// place.
  [[nodiscard]] bool divides_source(std::size_t at) const;
};

/// A byte that is no UTF-8 is a letter of its own, U+FFFD.
[[nodiscard]] FoldedText folded(std::string_view text, Umlauts umlauts = Umlauts::dropped);

/// Letters, digits and signs that belong to a letter, after folding.
[[nodiscard]] bool is_word_letter(char32_t letter);

/// Whether a script sets no blanks between words, or ties endings to them: Thai, Lao, Burmese,
/// Khmer, Korean, Japanese, Chinese.
[[nodiscard]] bool writes_without_blanks(char32_t letter);

}  // namespace moundwork
