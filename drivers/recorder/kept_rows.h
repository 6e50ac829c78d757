// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <deque>
#include <functional>
#include <vector>

#include "core/session/memory_rows.h"
#include "drivers/recorder/capture.h"

namespace moundwork::drivers {

/// The last while of a recording from its live queues, samples and events of every kind, so that it
/// can be measured as its file will be. For one thread.
class KeptRows {
 public:
  using Seen = std::function<void(int device, const SampleBlock&)>;

  /// `capture` must outlive this.
  explicit KeptRows(Capture& capture)
      : capture_(capture),
        blocks_(capture.session().devices.size()),
        events_(capture.events().size()) {}

  /// Takes what has come, showing each new block to `seen`, and lets go of what came before
  /// `oldest`, s of session time.
  void take(double oldest, const Seen& seen);

  [[nodiscard]] session::MemoryRows rows() const;

 private:
  Capture& capture_;
  std::vector<std::deque<SampleBlock>> blocks_;               // by device
  std::vector<std::deque<session::InstrumentEvent>> events_;  // as Capture::events
};

}  // namespace moundwork::drivers
