// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/kept_line.h"

#include <fmt/format.h>

namespace moundwork::drivers {

std::string kept_line(std::string_view line) {
  constexpr std::string_view cut = "...";
  std::string kept;
  std::size_t whole = 0;  // of it, so much leaves room to say that the line was cut
  for (const char c : line) {
    const auto byte = static_cast<unsigned char>(c);
    kept += (byte < 0x20U && c != '\t') || byte == 0x7FU ? fmt::format("\\x{:02X}", byte)
                                                         : std::string(1, c);
    if (kept.size() + cut.size() <= longest_kept_line) whole = kept.size();
    if (kept.size() <= longest_kept_line) continue;
    // Not amid a character, whose bytes after the first begin with the bits 10.
    while (whole > 0 && (static_cast<unsigned char>(kept[whole]) & 0xC0U) == 0x80U) --whole;
    return kept.substr(0, whole).append(cut);
  }
  return kept;
}

}  // namespace moundwork::drivers
