// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>

namespace moundwork::drivers {

/// Says that little room is left on the disk: once below `warn` bytes, and again each time that
/// half of what was left is gone, not for each megabyte of it.
class RoomWatch {
 public:
  explicit RoomWatch(std::uintmax_t warn) : warn_(warn), say_below_(warn) {}
  /// What holds of so many free bytes; empty where there is room enough.
  [[nodiscard]] const std::string& look(std::uintmax_t free_bytes);

 private:
  std::uintmax_t warn_, say_below_;
  std::string said_;
};

}  // namespace moundwork::drivers
