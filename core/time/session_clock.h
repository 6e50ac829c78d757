// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>

namespace moundwork {

/// The one clock of a session: seconds since its run zero on the host's monotonic clock. A device's
/// counter cannot be passed where a session time is wanted; the only road between them is ClockMap.
struct SessionClock {
  using rep = double;
  using period = std::ratio<1>;
  using duration = std::chrono::duration<rep, period>;
  using time_point = std::chrono::time_point<SessionClock, duration>;
  static constexpr bool is_steady = true;
};

using Seconds = SessionClock::duration;
using SessionTime = SessionClock::time_point;

/// A device's own counter, unwrapped to 64 bits.
enum class DeviceTicks : std::int64_t {};

[[nodiscard]] constexpr SessionTime session_time(double seconds) {
  return SessionTime{Seconds{seconds}};
}
[[nodiscard]] constexpr double seconds(SessionTime time) { return time.time_since_epoch().count(); }

}  // namespace moundwork
