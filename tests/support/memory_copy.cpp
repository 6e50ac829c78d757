// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/memory_copy.h"

#include <cmath>
#include <span>
#include <utility>

#include "core/session/kinds/list.h"

namespace moundwork::support {

void copy_rows(const session::Reader& from, session::MemoryRows& to, double ticks_later,
               double arrivals_later) {
  for (std::size_t d = 0; d < from.session().devices.size(); ++d) {
    const int device = static_cast<int>(d);
    const auto ticks =
        static_cast<std::int64_t>(std::llround(ticks_later * from.session().devices[d].tick_rate));
    const auto blocks = from.blocks(device).value();
    for (std::size_t b = 0; b < blocks.size(); ++b) {
      const std::int64_t end =
          b + 1 < blocks.size() ? blocks[b + 1].first_sample : from.sample_count(device);
      const auto raw =
          from.read_raw(device, blocks[b].first_sample, end - blocks[b].first_sample).value();
      session::Block block = blocks[b];
      block.ticks = DeviceTicks{static_cast<std::int64_t>(block.ticks) + ticks};
      block.arrival += Seconds(arrivals_later);
      if (b == 0 && ticks > 0) block.missing_before = 1;  // some, while nobody recorded
      to.append(device, block, {raw.data(), static_cast<std::size_t>(raw.size())});
    }
  }
  const auto sources = session::event_sources(from.session());
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const auto sent = from.events(*sources[i].kind, sources[i].name).value();
    for (session::InstrumentEvent event : sent) {
      event.arrival += Seconds(arrivals_later);
      to.append_event(i, std::move(event));
    }
  }
}

session::MemoryRows in_memory(const session::Reader& reader, const session::Session& session) {
  session::MemoryRows rows(session, "memory");
  copy_rows(reader, rows, 0.0, 0.0);
  return rows;
}

}  // namespace moundwork::support
