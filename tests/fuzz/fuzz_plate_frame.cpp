// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes, cut anywhere: no crash, and what is accepted is what a whole read accepts.
#include <cstdint>
#include <cstdlib>
#include <vector>

#include "drivers/codec/cobs.h"
#include "drivers/codec/plate_frame.h"

using namespace moundwork::drivers;

namespace {

std::vector<double> decode(const std::uint8_t* data, std::size_t size, int channels,
                           std::size_t piece) {
  PlateFrameCodec codec(channels);
  std::vector<double> values;
  for (std::size_t at = 0; at < size; at += piece) {
    codec.push({data + at, std::min(piece, size - at)}, [&](const DecodedSamples& samples) {
      if (samples.rows < 1 ||
          samples.values.size() != static_cast<std::size_t>(samples.rows * channels))
        std::abort();
      values.insert(values.end(), samples.values.begin(), samples.values.end());
    });
  }
  return values;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 3) return 0;
  const int channels = data[0] % most_channels + 1;
  const std::size_t piece = data[1] % 37 + 1U;
  if (decode(data + 2, size - 2, channels, piece) != decode(data + 2, size - 2, channels, size))
    std::abort();

  // What is encoded comes back, also behind the noise.
  PlateFrame frame{data[0], data[1], 1, channels, {}};
  for (int c = 0; c < channels; ++c)
    frame.samples.push_back(static_cast<std::int8_t>(data[static_cast<std::size_t>(c) % size]));
  std::vector<std::uint8_t> stream(data, data + size);
  stream.push_back(0);
  const auto coded = encode(frame, SampleWidth::three_bytes);
  stream.insert(stream.end(), coded.begin(), coded.end());
  const auto values = decode(stream.data(), stream.size(), channels, stream.size());
  const auto count = static_cast<std::size_t>(channels);
  if (values.size() < count) std::abort();
  for (std::size_t c = 0; c < count; ++c)
    if (values[values.size() - count + c] != frame.samples[c]) std::abort();

  std::vector<std::uint8_t> packet(data, data + size);
  auto back = cobs_encode(packet);
  const auto length = cobs_decode(back);
  if (!length || *length != size || !std::equal(packet.begin(), packet.end(), back.begin()))
    std::abort();
  return 0;
}
