// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

#include "core/time/session_clock.h"
#include "drivers/device/health.h"
#include "drivers/transport/transport.h"

namespace moundwork::drivers {

/// Run zero of a session: the host's steady clock at session time 0. `pace` is the session seconds
/// in a second, for instruments that are played faster than they were.
class HostClock {
 public:
  explicit HostClock(std::chrono::steady_clock::time_point zero, double pace = 1.0)
      : zero_(zero), pace_(pace) {}
  [[nodiscard]] SessionTime now() const { return at(std::chrono::steady_clock::now()); }
  [[nodiscard]] SessionTime at(std::chrono::steady_clock::time_point time) const {
    return SessionTime{pace_ * std::chrono::duration_cast<Seconds>(time - zero_)};
  }

 private:
  std::chrono::steady_clock::time_point zero_;
  double pace_;
};

/// What a link hands on; all three are called from the link's thread.
struct LinkHandlers {
  std::function<void(Bytes bytes, SessionTime arrival)> bytes;  ///< stamped when read
  std::function<void()> lost;   ///< the device went away: what comes next does not follow on
  std::function<void()> quiet;  ///< nothing came for a while
};

struct LinkSettings {
  std::chrono::milliseconds patience{50};        ///< longest wait in one read: how soon stop() acts
  std::chrono::milliseconds retry{250};          ///< between attempts to open
  std::chrono::milliseconds silent_after{1000};  ///< without a byte the state reads "silent"
};

/// One device's thread: opens the transport, reads, stamps with the host's clock, and opens again
/// for as long as it must when the device goes away.
class Link {
 public:
  Link(std::unique_ptr<Transport> transport, HostClock clock, LinkHandlers handlers,
       DeviceHealth& health, LinkSettings settings = {});
  ~Link() { stop(); }
  Link(const Link&) = delete;
  Link& operator=(const Link&) = delete;

  void start();
  /// Returns within about `patience`; may be called again.
  void stop();
  /// The last failure in one sentence; empty if there was none.
  [[nodiscard]] std::string last_failure() const;

 private:
  void run(const std::stop_token& stop);
  [[nodiscard]] bool open(const std::stop_token& stop);
  void stream(const std::stop_token& stop);
  void note(const Error& error);

  std::unique_ptr<Transport> transport_;
  HostClock clock_;
  LinkHandlers handlers_;
  DeviceHealth& health_;
  LinkSettings settings_;
  mutable std::mutex failure_mutex_;  // guards failure_ alone: never held while reading
  std::string failure_;
  std::jthread thread_;
};

}  // namespace moundwork::drivers
