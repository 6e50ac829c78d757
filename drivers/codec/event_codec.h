// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <span>

#include "core/session/session.h"

namespace moundwork::drivers {

struct EventCounts {
  std::uint64_t events = 0;
  std::uint64_t other_lines = 0;  ///< that are none
};

/// Events out of a stream of bytes. Pure function of the bytes: no clock, no I/O.
class EventCodec {
 public:
  /// The event has no arrival yet.
  using Sink = std::function<void(session::InstrumentEvent&& event)>;
  virtual ~EventCodec() = default;

  virtual void push(std::span<const std::uint8_t> bytes, const Sink& sink) = 0;
  /// Forget half a line: the stream was interrupted.
  virtual void reset() = 0;
  /// The device was silent for a while: what comes next begins a line.
  virtual void idle() = 0;
  [[nodiscard]] virtual EventCounts counts() const = 0;
};

}  // namespace moundwork::drivers
