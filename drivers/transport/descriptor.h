// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <span>
#include <string>

#include "core/base/result.h"

namespace moundwork::drivers {

/// An owned POSIX file descriptor.
class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept;
  Descriptor& operator=(Descriptor&& other) noexcept;
  ~Descriptor() { reset(); }

  void reset() noexcept;
  [[nodiscard]] int number() const { return number_; }
  [[nodiscard]] explicit operator bool() const { return number_ >= 0; }

 private:
  int number_ = -1;
};

/// Waits at most `patience` until `descriptor` has something to read. False: nothing came. Fails
/// when the other end is gone and nothing is left to read; `where` names the device.
[[nodiscard]] Result<bool> wait_readable(int descriptor, std::chrono::milliseconds patience,
                                         const std::string& where);

/// Reads what is there from a non-blocking descriptor after waiting at most `patience`. The end of
/// the stream and a hang-up are failures: a live device has no end.
[[nodiscard]] Result<std::size_t> read_some(int descriptor, std::span<std::uint8_t> into,
                                            std::chrono::milliseconds patience,
                                            const std::string& where);

/// The C library's words for an errno value.
[[nodiscard]] std::string system_message(int error);

}  // namespace moundwork::drivers
