// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/kept_rows.h"

#include <cstddef>

namespace moundwork::drivers {

void KeptRows::take(double oldest, const Seen& seen) {
  for (std::size_t d = 0; d < blocks_.size(); ++d) {
    while (capture_.devices()[d]->to_live().consume([&](const SampleBlock& block) {
      blocks_[d].push_back(block);
      seen(static_cast<int>(d), block);
    })) {
    }
    while (!blocks_[d].empty() && seconds(blocks_[d].front().arrival) < oldest)
      blocks_[d].pop_front();
  }
  session::InstrumentEvent event;
  for (std::size_t i = 0; i < events_.size(); ++i) {
    while (capture_.events()[i].device->next_live(event)) events_[i].push_back(event);
    while (!events_[i].empty() && seconds(events_[i].front().arrival) < oldest)
      events_[i].pop_front();
  }
}

session::MemoryRows KeptRows::rows() const {
  session::MemoryRows rows(capture_.session(), "what is being recorded");
  for (std::size_t d = 0; d < blocks_.size(); ++d)
    for (const SampleBlock& block : blocks_[d])
      rows.append(static_cast<int>(d), {0, block.ticks, block.arrival, block.missing_before},
                  block.values);
  for (std::size_t i = 0; i < events_.size(); ++i)
    for (const session::InstrumentEvent& event : events_[i])
      rows.append_event(capture_.events()[i].source, event);
  return rows;
}

}  // namespace moundwork::drivers
