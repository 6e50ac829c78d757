// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <variant>

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

[[nodiscard]] std::unique_ptr<Transport> make_transport(const PortSettings& port);

/// Whether both open one device. A captured file can be opened as often as one likes.
[[nodiscard]] bool same_port(const PortSettings& a, const PortSettings& b);

}  // namespace moundwork::drivers
