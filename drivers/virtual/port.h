// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <filesystem>

#include "drivers/transport/descriptor.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// A pseudo-terminal that stands for a device's serial port: what is written here is read by
/// whoever opens `link`. Destroying it is pulling the plug.
class VirtualPort {
 public:
  /// Makes `link` a symbolic link to the terminal, replacing one that is left over.
  [[nodiscard]] static Result<VirtualPort> open(std::filesystem::path link);
  VirtualPort(VirtualPort&&) = default;
  VirtualPort& operator=(VirtualPort&& other) noexcept;
  ~VirtualPort() { unplug(); }

  /// Waits at most `patience` for room and returns how many bytes were taken. The rest is lost, as
  /// on a real port that nobody reads.
  std::size_t write(Bytes bytes, std::chrono::milliseconds patience);
  [[nodiscard]] const std::string& terminal() const { return terminal_; }

 private:
  VirtualPort(Descriptor master, std::string terminal, std::filesystem::path link)
      : master_(std::move(master)), terminal_(std::move(terminal)), link_(std::move(link)) {}
  void unplug() noexcept;

  Descriptor master_;
  std::string terminal_;
  std::filesystem::path link_;
};

}  // namespace moundwork::drivers
