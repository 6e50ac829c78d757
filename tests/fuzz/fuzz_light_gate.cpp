// SPDX-License-Identifier: GPL-3.0-or-later
// Any pattern and any lines: no crash, and what is read are whole numbers that a double holds.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "drivers/kinds/light_gate/gate_line.h"

using namespace moundwork::drivers;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  // The first line is the pattern, or one of those that people write.
  static const char* const usual[] = {"G {count} {ticks}", "{count}", "BREAK",
                                      "{skip} {ticks};{count}"};
  std::string text(reinterpret_cast<const char*>(data + 1), size - 1);
  std::string pattern = usual[data[0] & 3U];
  if ((data[0] & 8U) != 0) {
    const auto end = std::min(text.find('\n'), text.size());
    pattern = text.substr(0, end);
    text.erase(0, std::min(end + 1, text.size()));
  }
  auto made = GateLinePattern::make(pattern);
  if (!made) return 0;
  GateCodec codec(std::move(*made));
  codec.idle();
  codec.push({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()},
             [](moundwork::session::InstrumentEvent&& event) {
               if (event.text.empty() || event.text.size() > 256) std::abort();
               for (const double value : {event.values[0], event.values[1]})
                 if (!std::isnan(value) &&
                     (value < 0.0 || value > std::ldexp(1.0, 53) || value != std::floor(value)))
                   std::abort();
             });
  return 0;
}
