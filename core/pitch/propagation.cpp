// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/propagation.h"

#include <cmath>

#include "core/pitch/events.h"

namespace moundwork::pitch {
namespace {

// Only these show in events.
constexpr Parts shows_events =
    part::back.x | part::back.z | part::lead.x | part::lead.z | part::body_mass | part::release;

void restore_foot(foot::FootForces& foot, const foot::FootForces& base, Parts changed,
                  const FootParts& own) {
  if (changed & own.x) {
    foot.x = base.x;
    foot.raw_x = base.raw_x;
  }
  if (changed & own.y) foot.y = base.y;
  if (changed & own.z) {
    foot.z = base.z;
    foot.contact_z = base.contact_z;
    foot.raw_z = base.raw_z;
  }
  if (changed & own.pressure) {
    foot.cop_x = base.cop_x;
    foot.cop_y = base.cop_y;
  }
  if (changed & own.twist) foot.free_moment = base.free_moment;
}

void grow(double& variance, double change, double share) {
  // A number that the move makes unmeasurable tells nothing of its spread.
  if (std::isfinite(change)) variance += share * change * change;
}

}  // namespace

Propagation::Propagation(ThrowData base, const EventTimes& moved,
                         const definitions::Settings& settings)
    : base_{std::move(base), moved}, work_(base_), settings_(settings) {
  events_ = find_events(base_.data, settings_, base_.moved);
  quantities_ = compute_quantities(base_.data, events_, settings_);
}

void Propagation::thresholds(const definitions::Settings& settings) {
  const EventTimes events = find_events(base_.data, settings, base_.moved);
  const QuantityValues quantities = compute_quantities(base_.data, events, settings);
  for (std::size_t i = 0; i < event_count; ++i)
    result_.event_thresholds[i] = events[i] - events_[i];
  for (std::size_t i = 0; i < quantity_count; ++i)
    result_.quantity_thresholds[i] = quantities[i] - quantities_[i];
}

void Propagation::take(Source source, const Propagation& other) {
  const auto column = static_cast<std::size_t>(source);
  for (std::size_t i = 0; i < event_count; ++i)
    result_.events[i][column] += other.result_.events[i][column];
  for (std::size_t i = 0; i < quantity_count; ++i)
    result_.quantities[i][column] += other.result_.quantities[i][column];
}

void Propagation::take(Source source, const Propagation& other, Event event) {
  const auto column = static_cast<std::size_t>(source);
  const auto row = static_cast<std::size_t>(event);
  result_.events[row][column] = other.result_.events[row][column];
}

void Propagation::take(Source source, const Propagation& other, Quantity quantity) {
  const auto column = static_cast<std::size_t>(source);
  const auto row = static_cast<std::size_t>(quantity);
  result_.quantities[row][column] = other.result_.quantities[row][column];
}

void Propagation::lessen_at(Event peak, Source source, double share) {
  if (std::isfinite(at(base_.moved, peak))) return;  // put by hand, no filter moves it
  const auto column = static_cast<std::size_t>(source);
  result_.events[static_cast<std::size_t>(peak)][column] *= share;
  for (std::size_t i = 0; i < quantity_count; ++i)
    if (definitions::entry(static_cast<Quantity>(i)).at_peak == peak)
      result_.quantities[i][column] *= share;
}

Uncertainty Propagation::result() const {
  Uncertainty roots = result_;
  for (auto& parts : roots.events)
    for (double& part : parts) part = std::sqrt(part);
  for (auto& parts : roots.quantities)
    for (double& part : parts) part = std::sqrt(part);
  return roots;
}

void Propagation::add(Source source, const Trial& changed, const definitions::Settings& settings) {
  const EventTimes events = find_events(changed.data, settings, changed.moved);
  gather(source, events, compute_quantities(changed.data, events, settings), 1.0);
}

void Propagation::add(Source source, Parts parts, double share) {
  const bool same_events = (parts & shows_events) == 0;
  const EventTimes events = same_events ? events_ : find_events(work_.data, settings_, work_.moved);
  gather(source, events,
         recompute_quantities(work_.data, events, settings_, parts, events_, quantities_), share);
}

void Propagation::gather(Source source, const EventTimes& events, const QuantityValues& quantities,
                         double share) {
  const auto column = static_cast<std::size_t>(source);
  for (std::size_t i = 0; i < event_count; ++i)
    grow(result_.events[i][column], events[i] - events_[i], share);
  for (std::size_t i = 0; i < quantity_count; ++i)
    grow(result_.quantities[i][column], quantities[i] - quantities_[i], share);
}

// Sizes are the same, so nothing is allocated.
void Propagation::restore(Parts parts) {
  restore_foot(work_.data.back, base_.data.back, parts, part::back);
  restore_foot(work_.data.lead, base_.data.lead, parts, part::lead);
  work_.moved = base_.moved;
  work_.data.back.start = base_.data.back.start;
  work_.data.lead.start = base_.data.lead.start;
  static_cast<ThrowFacts&>(work_.data) = base_.data;
}

}  // namespace moundwork::pitch
