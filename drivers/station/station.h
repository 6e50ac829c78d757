// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/base/result.h"
#include "core/session/session.h"
#include "drivers/check/limits.h"
#include "drivers/codec/delimited_lines.h"
#include "drivers/codec/sample_codec.h"
#include "drivers/device/sample_assembler.h"
#include "drivers/kinds/kind.h"
#include "drivers/transport/port.h"

namespace moundwork::drivers {

/// The binary plate frame needs no settings.
struct FrameFormat {};
using SampleFormat = std::variant<FrameFormat, LineFormat>;

/// How a sampled device of Session::devices (same index) is reached and read.
struct StationDevice {
  PortSettings port;
  SampleFormat format;
};

/// The instruments of one place, from a station file (docs/station-file.md).
struct Station {
  std::string name;
  /// Session seconds in a second of this computer's: 1 but for instruments that are played back.
  double pace = 1.0;
  std::vector<StationDevice> devices;
  std::vector<EventPort> events;  ///< instruments that send events
  CheckLimits check_limits;
  /// What a session made here takes over: instruments and surface.
  session::Session session;
};

/// Relative paths in the file are taken from its folder.
[[nodiscard]] Result<Station> read_station(const std::filesystem::path& path);
/// `where` names the text in messages and gives the folder for relative paths.
[[nodiscard]] Result<Station> parse_station(std::string_view text,
                                            const std::filesystem::path& where);

/// Null where the station has none of this kind and name.
[[nodiscard]] const EventPort* event_port(const Station& station, std::string_view kind,
                                          std::string_view name);

[[nodiscard]] std::unique_ptr<SampleCodec> make_codec(const SampleFormat& format, int channels);
[[nodiscard]] AssemblerSettings assembler_settings(const session::Device& device,
                                                   const SampleCodec& codec);

}  // namespace moundwork::drivers
