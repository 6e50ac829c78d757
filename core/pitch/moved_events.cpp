// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/moved_events.h"

#include <algorithm>
#include <cmath>

namespace moundwork::pitch {

void MovedEvents::move(Event event, double time, double standard_uncertainty) {
  at(times, event) = time;
  at(u, event) = standard_uncertainty;
}

bool MovedEvents::moved(Event event) const { return std::isfinite(at(times, event)); }

bool MovedEvents::any() const {
  return std::any_of(times.begin(), times.end(), [](double time) { return std::isfinite(time); });
}

MovedEvents moved_events(const session::EditState& state, const definitions::Settings& settings) {
  MovedEvents moved;
  for (const session::MovedEvent& one : state.moved)
    if (const auto event = find_event(one.event))
      moved.move(*event, one.time, one.u > 0.0 ? one.u : settings.moved_event_u);
  return moved;
}

MovedEvents within(const MovedEvents& moved, double from, double to) {
  MovedEvents kept = moved;
  for (double& time : kept.times)
    if (!(time >= from && time <= to)) time = std::numeric_limits<double>::quiet_NaN();
  return kept;
}

}  // namespace moundwork::pitch
