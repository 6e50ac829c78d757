// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/one_line.h"

#include "core/base/utf8.h"

namespace moundwork {
namespace {

// Whether the bytes at `at` are `lead` and then one from `first` to `last`.
bool stands(std::string_view text, std::size_t at, std::string_view lead, unsigned char first,
            unsigned char last) {
  if (text.substr(at, lead.size()) != lead || at + lead.size() >= text.size()) return false;
  const auto byte = static_cast<unsigned char>(text[at + lead.size()]);
  return byte >= first && byte <= last;
}

}  // namespace

std::string one_line(std::string_view typed) {
  const std::string text = valid_utf8(typed);
  std::string line;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const auto byte = static_cast<unsigned char>(text[at]);
    if (byte == '\t' || byte == '\n' || byte == '\r') {
      line += ' ';
    } else if (stands(text, at, "\xc2", 0x85, 0x85)) {  // U+0085, next line
      line += ' ';
      at += 1;
    } else if (stands(text, at, "\xe2\x80", 0xa8, 0xa9)) {  // U+2028, U+2029: line, paragraph
      line += ' ';
      at += 2;
    } else if (stands(text, at, "\xc2", 0x80, 0x9f)) {  // U+0080 to U+009F: controls
      at += 1;
    } else if (stands(text, at, "\xe2\x80", 0xaa, 0xae) ||  // U+202A to U+202E: embeddings
               stands(text, at, "\xe2\x81", 0xa6, 0xa9)) {  // U+2066 to U+2069: isolates
      at += 2;
    } else if (byte >= 0x20 && byte != 0x7f) {
      line += text[at];
    }
  }
  return line;
}

}  // namespace moundwork
