// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <boost/lockfree/spsc_queue.hpp>
#include <memory>

#include "core/session/session.h"
#include "drivers/codec/radar_line.h"
#include "drivers/device/link.h"

namespace moundwork::drivers {

/// A radar at work: link and codec on one thread. Every line is handed on as it came; one that does
/// not fit the pattern has no number for its speed.
class RadarDevice {
 public:
  RadarDevice(std::string name, std::unique_ptr<Transport> transport, RadarLinePattern pattern,
              HostClock clock, LinkSettings link = {});

  void start() { link_.start(); }
  void stop() { link_.stop(); }

  /// Oldest line for the recorder; false if there is none. Recorder's thread only.
  [[nodiscard]] bool next(session::RadarReading& reading) { return queue_.pop(reading); }
  /// The same for who measures throws live, and for the screen while somebody looks.
  [[nodiscard]] bool next_live(session::RadarReading& reading) { return live_.pop(reading); }
  [[nodiscard]] bool next_shown(session::RadarReading& reading) { return display_.pop(reading); }
  void show(bool on) { shown_ = on; }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const DeviceHealth& health() const { return health_; }
  [[nodiscard]] std::string last_failure() const { return link_.last_failure(); }

 private:
  std::string name_;
  RadarLineCodec codec_;
  /// A radar talks some lines a second at most; a full queue is counted in refused_rows.
  boost::lockfree::spsc_queue<session::RadarReading> queue_{4096};
  boost::lockfree::spsc_queue<session::RadarReading> live_{256};
  boost::lockfree::spsc_queue<session::RadarReading> display_{256};
  std::atomic<bool> shown_{false};
  DeviceHealth health_;
  Link link_;  // last: its thread must end before what it uses
};

}  // namespace moundwork::drivers
