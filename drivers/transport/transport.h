// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

#include "core/base/result.h"

namespace moundwork::drivers {

using Bytes = std::span<const std::uint8_t>;

/// A road for bytes from one device to the host. It knows nothing of what the bytes mean, and can
/// be opened again after it was lost. Used by one thread at a time.
class Transport {
 public:
  virtual ~Transport() = default;

  /// Fails when the device is not there (now); may be tried again.
  [[nodiscard]] virtual Result<void> open() = 0;

  /// Bytes that came, waiting at most `patience` for the first; 0 if none came. An error means that
  /// the device is gone: close, then open again.
  [[nodiscard]] virtual Result<std::size_t> read(std::span<std::uint8_t> into,
                                                 std::chrono::milliseconds patience) = 0;
  virtual void close() noexcept = 0;

  /// True when no byte will ever come again: the end of a replayed capture.
  [[nodiscard]] virtual bool finished() const { return false; }
  /// False when bytes wait until they are read, so that reading them is never urgent.
  [[nodiscard]] virtual bool live() const { return true; }
  [[nodiscard]] virtual std::string describe() const = 0;
};

}  // namespace moundwork::drivers
