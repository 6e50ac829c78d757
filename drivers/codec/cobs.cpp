// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/cobs.h"

namespace moundwork::drivers {

std::vector<std::uint8_t> cobs_encode(std::span<const std::uint8_t> packet) {
  std::vector<std::uint8_t> coded{0};
  coded.reserve(packet.size() + packet.size() / 254 + 1);
  std::size_t code_at = 0;
  std::uint8_t code = 1;
  for (std::size_t i = 0; i < packet.size(); ++i) {
    if (packet[i] != 0) {
      coded.push_back(packet[i]);
      ++code;
      // A full run needs a new code byte, but not at the packet's very end.
      if (code != 0xFF || i + 1 == packet.size()) continue;
    }
    coded[code_at] = code;
    code_at = coded.size();
    coded.push_back(0);
    code = 1;
  }
  coded[code_at] = code;
  return coded;
}

std::optional<std::size_t> cobs_decode(std::span<std::uint8_t> coded) {
  if (coded.empty()) return std::nullopt;
  std::size_t in = 0;
  std::size_t out = 0;
  while (in < coded.size()) {
    const std::uint8_t code = coded[in++];
    if (code == 0 || in + code - 1 > coded.size()) return std::nullopt;
    for (std::uint8_t i = 1; i < code; ++i) {
      if (coded[in] == 0) return std::nullopt;
      coded[out++] = coded[in++];
    }
    if (code != 0xFF && in < coded.size()) coded[out++] = 0;
  }
  return out;
}

}  // namespace moundwork::drivers
