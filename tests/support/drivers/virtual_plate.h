// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <optional>
#include <thread>

#include "drivers/codec/plate_frame.h"
#include "drivers/virtual/port.h"

namespace moundwork::support {

struct VirtualPlateSettings {
  int channels = 6;
  double rate = 1000.0;  ///< Hz; counter of 1 MHz
  int rows_per_frame = 10;
  std::uint32_t first_ticks = 0;
};

/// The frame of a device whose samples say which they are: row r, channel c holds 64 r + c.
[[nodiscard]] drivers::PlateFrame numbered_frame(std::int64_t first_row, std::uint32_t sequence,
                                                 const VirtualPlateSettings& settings);

/// A device on a virtual port whose samples say which they are: row r, channel c holds 64 r + c.
/// It counts on while it is unplugged.
class VirtualPlate {
 public:
  VirtualPlate(std::filesystem::path link, VirtualPlateSettings settings = {});
  ~VirtualPlate();

  void skip_next_frame() { ++skip_; }
  void corrupt_next_frame() { ++corrupt_; }
  void unplug();
  void plug();
  /// Counter and row number begin anew.
  void restart();
  [[nodiscard]] std::int64_t rows_sent() const { return rows_sent_; }

 private:
  void run(const std::stop_token& stop);
  void send_frame();

  std::filesystem::path link_;
  VirtualPlateSettings settings_;
  std::mutex mutex_;  // guards port_, row_, began_
  std::optional<drivers::VirtualPort> port_;
  std::int64_t row_ = 0;
  std::chrono::steady_clock::time_point began_;
  std::uint32_t sequence_ = 0;
  std::atomic<int> skip_{0}, corrupt_{0};
  std::atomic<std::int64_t> rows_sent_{0};
  std::jthread thread_;
};

/// Station file of virtual plates "back" and "lead" (6 channels each) and a radar, as ports of
/// these names in the file's folder.
[[nodiscard]] std::string virtual_station_text(double rate);

}  // namespace moundwork::support
