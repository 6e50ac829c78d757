// SPDX-License-Identifier: GPL-3.0-or-later
// Any text, cut anywhere: no crash, whole and cut reads agree, and every sample is a number.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <vector>

#include "drivers/codec/delimited_lines.h"

using namespace moundwork::drivers;

namespace {

std::vector<double> decode(const LineFormat& format, const std::uint8_t* data, std::size_t size,
                           std::size_t piece) {
  DelimitedLinesCodec codec(format);
  std::vector<double> values;
  for (std::size_t at = 0; at < size; at += piece) {
    codec.push({data + at, std::min(piece, size - at)}, [&](const DecodedSamples& samples) {
      if (samples.values.size() != format.channels.size() || samples.lost_before < 0) std::abort();
      if (samples.count && *samples.count >> format.counter_bits != 0) std::abort();
      for (const double value : samples.values)
        if (!std::isfinite(value)) std::abort();
      values.insert(values.end(), samples.values.begin(), samples.values.end());
    });
  }
  return values;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 3) return 0;
  LineFormat format;
  format.delimiter = ",;\t "[data[0] & 3U];
  format.fields = (data[0] >> 2 & 7) + 1;
  format.integers = (data[0] & 32U) != 0;
  for (int field = 0; field < format.fields; ++field) format.channels.push_back(field);
  if (format.fields > 1 && (data[0] & 64U) != 0) {
    format.counter = 0;
    format.counter_bits = data[1] % 63 + 1;
    format.channels.erase(format.channels.begin());
  }
  const std::size_t piece = data[1] % 29 + 1U;
  if (decode(format, data + 2, size - 2, piece) != decode(format, data + 2, size - 2, size))
    std::abort();
  return 0;
}
