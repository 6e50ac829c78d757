// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <boost/lockfree/spsc_queue.hpp>
#include <memory>
#include <string>

#include "core/session/session.h"
#include "drivers/codec/event_codec.h"
#include "drivers/device/link.h"

namespace moundwork::drivers {

/// An instrument that sends events at work: link and codec on one thread.
class EventDevice {
 public:
  EventDevice(std::string kind, std::string name, std::unique_ptr<Transport> transport,
              std::unique_ptr<EventCodec> codec, HostClock clock, LinkSettings link = {});

  void start() { link_.start(); }
  void stop() { link_.stop(); }

  /// Oldest event for the recorder; false if there is none. Recorder's thread only.
  [[nodiscard]] bool next(session::InstrumentEvent& event) { return queue_.pop(event); }
  /// The same for who measures throws live.
  [[nodiscard]] bool next_live(session::InstrumentEvent& event) { return live_.pop(event); }
  [[nodiscard]] const std::string& kind() const { return kind_; }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const DeviceHealth& health() const { return health_; }
  [[nodiscard]] std::string last_failure() const { return link_.last_failure(); }

 private:
  void take(Bytes bytes, SessionTime arrival);

  std::string kind_, name_;
  std::unique_ptr<EventCodec> codec_;
  /// Such an instrument talks some lines a second at most; a full queue is counted in
  /// refused_rows.
  boost::lockfree::spsc_queue<session::InstrumentEvent> queue_{4096};
  boost::lockfree::spsc_queue<session::InstrumentEvent> live_{256};
  DeviceHealth health_;
  Link link_;  // last: its thread must end before what it uses
};

}  // namespace moundwork::drivers
