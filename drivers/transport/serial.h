// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "drivers/transport/transport.h"

struct sp_port;

namespace moundwork::drivers {

/// What makes a USB serial adapter the same one after a replug, whatever name the system gives it.
struct UsbIdentity {
  std::optional<int> vendor;
  std::optional<int> product;
  std::string serial;  ///< empty: any
};

struct SerialPortEntry {
  std::string name;
  std::string description;
  UsbIdentity usb;  ///< vendor is absent when the port is not on USB
};

/// Serial ports of this computer, in the system's order.
[[nodiscard]] Result<std::vector<SerialPortEntry>> list_serial_ports();

enum class Parity { none, odd, even };
enum class FlowControl { none, rts_cts, xon_xoff };

struct SerialSettings {
  /// Port by the system's name; empty: the one port that has the USB identity.
  std::string name;
  UsbIdentity usb;
  int baud_rate = 115200;
  int data_bits = 8;
  Parity parity = Parity::none;
  int stop_bits = 1;
  FlowControl flow_control = FlowControl::none;
};

/// A serial port through libserialport. Bytes that waited from before open() are dropped: their
/// arrival is not known.
class SerialTransport : public Transport {
 public:
  explicit SerialTransport(SerialSettings settings) : settings_(std::move(settings)) {}

  [[nodiscard]] Result<void> open() override;
  [[nodiscard]] Result<std::size_t> read(std::span<std::uint8_t> into,
                                         std::chrono::milliseconds patience) override;
  void close() noexcept override { port_.reset(); }
  [[nodiscard]] std::string describe() const override;

 private:
  struct ClosePort {
    void operator()(sp_port* port) const noexcept;
  };
  SerialSettings settings_;
  std::unique_ptr<sp_port, ClosePort> port_;
  int descriptor_ = -1;  // owned by port_
};

}  // namespace moundwork::drivers
