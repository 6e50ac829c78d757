// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/base/result.h"
#include "core/session/session.h"
#include "drivers/check/limits.h"
#include "drivers/codec/delimited_lines.h"
#include "drivers/codec/radar_line.h"
#include "drivers/codec/sample_codec.h"
#include "drivers/device/sample_assembler.h"
#include "drivers/transport/serial.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

struct StreamPort {
  std::string path;
};
struct TcpPort {
  std::string host, port;
};
struct ReplayPort {
  std::filesystem::path path;
  double bytes_per_second = 0.0;
};
using PortSettings = std::variant<SerialSettings, StreamPort, TcpPort, ReplayPort>;

/// The binary plate frame needs no settings.
struct FrameFormat {};
using SampleFormat = std::variant<FrameFormat, LineFormat>;

/// How a sampled device of Session::devices (same index) is reached and read.
struct StationDevice {
  PortSettings port;
  SampleFormat format;
};

struct StationRadar {
  PortSettings port;
  RadarLineSettings lines;
};

/// The instruments of one place, from a station file (docs/station-file.md).
struct Station {
  std::string name;
  /// Session seconds in a second of this computer's: 1 but for instruments that are played back.
  double pace = 1.0;
  std::vector<StationDevice> devices;
  std::optional<StationRadar> radar;
  CheckLimits check_limits;
  /// What a session made here takes over: devices, plates, radar, microphone, trigger, surface.
  session::Session session;
};

/// Relative paths in the file are taken from its folder.
[[nodiscard]] Result<Station> read_station(const std::filesystem::path& path);
/// `where` names the text in messages and gives the folder for relative paths.
[[nodiscard]] Result<Station> parse_station(std::string_view text,
                                            const std::filesystem::path& where);

[[nodiscard]] std::unique_ptr<Transport> make_transport(const PortSettings& port);
[[nodiscard]] std::unique_ptr<SampleCodec> make_codec(const SampleFormat& format, int channels);
[[nodiscard]] AssemblerSettings assembler_settings(const session::Device& device,
                                                   const SampleCodec& codec);

}  // namespace moundwork::drivers
