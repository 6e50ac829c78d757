// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/plate_frame.h"
#include "drivers/station/station.h"

namespace moundwork::drivers {
std::unique_ptr<SampleCodec> make_codec(const SampleFormat& format, int channels) {
  if (const auto* lines = std::get_if<LineFormat>(&format))
    return std::make_unique<DelimitedLinesCodec>(*lines);
  return std::make_unique<PlateFrameCodec>(channels);
}

AssemblerSettings assembler_settings(const session::Device& device, const SampleCodec& codec) {
  AssemblerSettings settings;
  settings.channels = static_cast<int>(device.channels.size());
  settings.sample_rate = device.sample_rate;
  settings.tick_rate = device.tick_rate;
  settings.counter_bits = codec.counter_bits();
  return settings;
}

}  // namespace moundwork::drivers
