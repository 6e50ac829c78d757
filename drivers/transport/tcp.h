// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "drivers/transport/descriptor.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// Client of a device (or of a serial-to-network box) that sends its bytes over TCP.
class TcpTransport : public Transport {
 public:
  TcpTransport(std::string host, std::string port)
      : host_(std::move(host)), port_(std::move(port)) {}

  /// Waits at most 2 s for the connection.
  [[nodiscard]] Result<void> open() override;
  [[nodiscard]] Result<std::size_t> read(std::span<std::uint8_t> into,
                                         std::chrono::milliseconds patience) override;
  void close() noexcept override { socket_.reset(); }
  [[nodiscard]] std::string describe() const override { return host_ + ":" + port_; }

 private:
  std::string host_;
  std::string port_;
  Descriptor socket_;
};

}  // namespace moundwork::drivers
