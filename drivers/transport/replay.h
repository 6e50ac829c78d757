// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <fstream>

#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// A file of the bytes a device once sent, played at a given pace (or as fast as it is read).
class ReplayTransport : public Transport {
 public:
  /// `bytes_per_second` 0 plays without pause.
  ReplayTransport(std::filesystem::path path, double bytes_per_second)
      : path_(std::move(path)), bytes_per_second_(bytes_per_second) {}

  /// Always from the beginning.
  [[nodiscard]] Result<void> open() override;
  [[nodiscard]] Result<std::size_t> read(std::span<std::uint8_t> into,
                                         std::chrono::milliseconds patience) override;
  void close() noexcept override { file_.close(); }
  [[nodiscard]] bool finished() const override { return finished_; }
  [[nodiscard]] bool live() const override { return false; }
  [[nodiscard]] std::string describe() const override { return path_.string(); }

 private:
  std::filesystem::path path_;
  double bytes_per_second_;
  std::ifstream file_;
  std::chrono::steady_clock::time_point began_{};
  std::uint64_t sent_ = 0;
  bool finished_ = false;
};

}  // namespace moundwork::drivers
