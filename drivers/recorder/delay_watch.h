// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string>

namespace moundwork::drivers {

/// Says that the disk keeps what was recorded waiting: once it is more than a second, and in one
/// recording again each time that this has doubled. What was said holds until the disk has kept up
/// for ten seconds, since the wait of a slow one rises and falls with each answer.
class DelayWatch {
 public:
  using Clock = std::chrono::steady_clock;
  /// What holds after so many seconds without the disk's answer; empty while it keeps up.
  [[nodiscard]] const std::string& look(double unforced, Clock::time_point now);

 private:
  double say_above_ = 1.0;                 // s
  std::optional<Clock::time_point> slow_;  // when it was last
  std::string said_;
};

}  // namespace moundwork::drivers
