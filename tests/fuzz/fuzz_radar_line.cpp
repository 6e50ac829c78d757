// SPDX-License-Identifier: GPL-3.0-or-later
// Any pattern and any lines: no crash, and what is read is a speed.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "drivers/codec/radar_line.h"

using namespace moundwork::drivers;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  // The first line is the pattern, or one of those that people write.
  static const char* const usual[] = {"{direction} {speed} {unit}", "{speed}", "S={speed};{unit}",
                                      "{skip} {speed}{unit} {skip}"};
  std::string text(reinterpret_cast<const char*>(data + 1), size - 1);
  RadarLineSettings settings;
  if ((data[0] & 8U) != 0) {
    const auto end = std::min(text.find('\n'), text.size());
    settings.pattern = text.substr(0, end);
    text.erase(0, std::min(end + 1, text.size()));
  } else {
    settings.pattern = usual[data[0] & 3U];
  }
  if (settings.pattern.find("{unit}") == std::string::npos) settings.unit = "mph";
  settings.toward = {"R", "IN"};
  settings.away = {"B", "I"};
  settings.behind_pitcher = (data[0] & 16U) != 0;
  auto pattern = RadarLinePattern::make(settings);
  if (!pattern) return 0;
  RadarLineCodec codec(std::move(*pattern));
  codec.idle();
  codec.push({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()},
             [](const RadarLine& line) {
               if (line.text.empty() || line.text.size() > 256) std::abort();
               if (line.value && (!std::isfinite(line.value->speed) || line.value->speed < 0.0 ||
                                  std::abs(line.value->direction) > 1))
                 std::abort();
             });
  return 0;
}
