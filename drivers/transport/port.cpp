// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/port.h"

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

struct SamePort {
  bool operator()(const SerialSettings& a, const SerialSettings& b) const {
    if (!a.name.empty() || !b.name.empty()) return a.name == b.name;
    return a.usb.vendor == b.usb.vendor && a.usb.product == b.usb.product &&
           a.usb.serial == b.usb.serial;
  }
  bool operator()(const StreamPort& a, const StreamPort& b) const {
    return std::filesystem::path(a.path).lexically_normal() ==
           std::filesystem::path(b.path).lexically_normal();
  }
  bool operator()(const TcpPort& a, const TcpPort& b) const {
    return a.host == b.host && a.port == b.port;
  }
  // Anything can be opened twice that was captured, and nothing else is the same as another kind.
  template <class A, class B>
  bool operator()(const A& /*a*/, const B& /*b*/) const {
    return false;
  }
};

}  // namespace

std::unique_ptr<Transport> make_transport(const PortSettings& port) {
  return std::visit(MakeTransport{}, port);
}

bool same_port(const PortSettings& a, const PortSettings& b) {
  return std::visit(SamePort{}, a, b);
}

}  // namespace moundwork::drivers
