// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/room_watch.h"

#include <fmt/format.h>

namespace moundwork::drivers {

const std::string& RoomWatch::look(std::uintmax_t free_bytes) {
  if (free_bytes >= warn_) {
    say_below_ = warn_;
    said_.clear();
  } else if (free_bytes < say_below_) {
    while (say_below_ > free_bytes) say_below_ /= 2;
    said_ = fmt::format("Only {} MB are left on the disk.", free_bytes >> 20U);
  }
  return said_;
}

}  // namespace moundwork::drivers
