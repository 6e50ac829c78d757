// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/line_splitter.h"

namespace moundwork::drivers {

void LineSplitter::push(std::span<const std::uint8_t> bytes,
                        const std::function<void(std::string_view, LineState)>& line) {
  for (const std::uint8_t byte : bytes) {
    if (byte != '\n' && byte != '\r') {
      if (pending_.size() < longest_) {
        pending_.push_back(static_cast<char>(byte));
      } else {
        too_long_ = true;
      }
      continue;
    }
    if (!pending_.empty()) {
      line(pending_, too_long_  ? LineState::too_long
                     : opening_ ? LineState::opening
                                : LineState::whole);
    }
    pending_.clear();
    too_long_ = false;
    opening_ = false;
  }
}

void LineSplitter::reset() {
  pending_.clear();
  too_long_ = false;
  opening_ = true;
}

}  // namespace moundwork::drivers
