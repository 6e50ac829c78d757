// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <vector>

#include "drivers/transport/descriptor.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// A pseudo-terminal that stands for a device's serial port: what is written here is read by
/// whoever opens `link`. Destroying it is pulling the plug.
class VirtualPort {
 public:
  /// What can wait for the reader: ten seconds of 8 channels of 32 bits at 10 kHz.
  static constexpr std::size_t room = 4U << 20;

  /// Makes `link` a symbolic link to the terminal, replacing one that is left over.
  [[nodiscard]] static Result<VirtualPort> open(std::filesystem::path link);
  VirtualPort(VirtualPort&&) = default;
  VirtualPort& operator=(VirtualPort&& other) noexcept;
  ~VirtualPort() { unplug(); }

  /// Sends what the reader takes now; the rest waits in the port, as in the buffers of an adapter
  /// and its driver, for the next call. Returns how many of `bytes` were taken or wait: all, but
  /// none when nobody has the port open and not more than there is room for.
  std::size_t write(Bytes bytes);
  /// As above, but gives the reader up to `patience` to take everything.
  std::size_t write(Bytes bytes, std::chrono::milliseconds patience);
  /// Bytes that wait for the reader.
  [[nodiscard]] std::size_t waiting() const { return waiting_.size() - sent_; }
  [[nodiscard]] const std::string& terminal() const { return terminal_; }

 private:
  VirtualPort(Descriptor master, std::string terminal, std::filesystem::path link)
      : master_(std::move(master)), terminal_(std::move(terminal)), link_(std::move(link)) {}
  void unplug() noexcept;
  /// False when nobody has the port open.
  bool push();

  Descriptor master_;
  std::string terminal_;
  std::filesystem::path link_;
  std::vector<std::uint8_t> waiting_;
  std::size_t sent_ = 0;  // of waiting_
};

}  // namespace moundwork::drivers
