// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "drivers/transport/descriptor.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// A character stream that the system names by a path: a pseudo-terminal (set to raw) or a FIFO.
/// What waited in a terminal from before open() is dropped: its arrival is not known.
class StreamTransport : public Transport {
 public:
  explicit StreamTransport(std::string path) : path_(std::move(path)) {}

  [[nodiscard]] Result<void> open() override;
  [[nodiscard]] Result<std::size_t> read(std::span<std::uint8_t> into,
                                         std::chrono::milliseconds patience) override;
  void close() noexcept override { descriptor_.reset(); }
  [[nodiscard]] std::string describe() const override { return path_; }

 private:
  std::string path_;
  Descriptor descriptor_;
};

}  // namespace moundwork::drivers
