// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/codec/plate_frame.h"
#include "drivers/station/station.h"
#include "drivers/transport/replay.h"
#include "drivers/transport/stream.h"
#include "drivers/transport/tcp.h"

namespace moundwork::drivers {
namespace {

struct MakeTransport {
  std::unique_ptr<Transport> operator()(const SerialSettings& port) const {
    return std::make_unique<SerialTransport>(port);
  }
  std::unique_ptr<Transport> operator()(const StreamPort& port) const {
    return std::make_unique<StreamTransport>(port.path);
  }
  std::unique_ptr<Transport> operator()(const TcpPort& port) const {
    return std::make_unique<TcpTransport>(port.host, port.port);
  }
  std::unique_ptr<Transport> operator()(const ReplayPort& port) const {
    return std::make_unique<ReplayTransport>(port.path, port.bytes_per_second);
  }
};

}  // namespace

std::unique_ptr<Transport> make_transport(const PortSettings& port) {
  return std::visit(MakeTransport{}, port);
}

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
