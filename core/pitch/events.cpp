// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/events.h"

#include <algorithm>
#include <cmath>

#include "core/base/units.h"
#include "core/base/unknown.h"
#include "core/signal/series.h"

namespace moundwork::pitch {
namespace {

// How far about the finder's bin the true contact can lie: bins and their means blur by less.
constexpr double contact_search_before = 0.06;
constexpr double contact_search_after = 0.06;

}  // namespace

double ThrowFacts::body_weight() const { return mass * standard_gravity; }

Eigen::Index quiet_hop(double step) {
  return std::max<Eigen::Index>(1, static_cast<Eigen::Index>(0.01 / step));
}

double find_quiet_end(const foot::FootForces& back, double coarse_contact, double body_weight,
                      const definitions::Settings& settings) {
  const auto length = static_cast<Eigen::Index>(settings.quiet_length / back.step);
  const Eigen::Index hop = quiet_hop(back.step);
  // The drive itself may be steady for a while; it lies in the last part before contact.
  constexpr double drive_reach = 0.6;
  const double latest = back.index(coarse_contact - drive_reach) - static_cast<double>(length);
  double first_any = unknown;
  double last_shared = unknown;
  for (Eigen::Index i = 0; i + length <= back.size() && static_cast<double>(i) <= latest;
       i += hop) {
    const auto piece = back.z.segment(i, length);
    const double low = piece.minCoeff();
    const double high = piece.maxCoeff();
    if (high - low > settings.quiet_range * body_weight) continue;
    const double level = 0.5 * (low + high) / body_weight;
    if (level < settings.quiet_least) continue;
    const double end = back.time(static_cast<double>(i + length - 1));
    if (std::isnan(first_any)) first_any = end;
    if (level <= settings.quiet_greatest) last_shared = end;
  }
  return std::isnan(last_shared) ? first_any : last_shared;
}

EventTimes find_events(const ThrowData& data, const definitions::Settings& settings,
                       const EventTimes& moved) {
  const foot::FootForces& back = data.back;
  const foot::FootForces& lead = data.lead;
  const double weight = data.body_weight();
  EventTimes times = moved;
  // Only what nobody moved is looked for.
  const auto look_for = [&](Event event, const auto& find) {
    if (std::isnan(at(times, event))) at(times, event) = find();
  };

  look_for(Event::release, [&] { return data.release; });
  look_for(Event::lead_contact, [&] {
    return lead.time(signal::first_rise(lead.contact_z, settings.contact_level * weight,
                                        lead.index(data.coarse_contact - contact_search_before),
                                        lead.index(data.coarse_contact + contact_search_after),
                                        settings.contact_hold / lead.step));
  });
  const double contact = at(times, Event::lead_contact);
  if (std::isnan(contact)) return times;
  const double until = contact + settings.after_contact;
  look_for(Event::braking_peak, [&] {
    // With the samples beside the range, which tell a peak at its end.
    const auto first = std::clamp<Eigen::Index>(static_cast<Eigen::Index>(lead.index(contact)) - 1,
                                                0, lead.size() - 1);
    const auto last = std::clamp<Eigen::Index>(
        static_cast<Eigen::Index>(std::ceil(lead.index(until))) + 1, first, lead.size() - 1);
    const Eigen::ArrayXd braking = -lead.x.segment(first, last - first + 1);
    const auto offset = static_cast<double>(first);
    return lead.time(
        offset +
        signal::greatest(braking, lead.index(contact) - offset, lead.index(until) - offset).index);
  });
  look_for(Event::vertical_peak, [&] {
    return lead.time(signal::greatest(lead.z, lead.index(contact), lead.index(until)).index);
  });

  look_for(Event::drive_peak, [&] {
    const double drive_from = std::max(back.index(contact - settings.drive_search), 0.0);
    return back.time(signal::greatest(back.x, drive_from, back.index(contact)).index);
  });
  const double drive_peak = back.index(at(times, Event::drive_peak));
  look_for(Event::drive_start, [&] {
    const double level = settings.drive_start_level * signal::peak_value(back.x, drive_peak);
    return back.time(signal::last_rise(back.x, level, 0.0, drive_peak));
  });
  look_for(Event::back_foot_off, [&] {
    return back.time(signal::last_fall(back.contact_z, settings.foot_off_level * weight, drive_peak,
                                       back.index(until)));
  });
  look_for(Event::back_leg_loaded, [&] {
    const double quiet = std::isnan(data.quiet_end) ? 0.0 : back.index(data.quiet_end);
    return back.time(signal::first_rise(back.z, settings.back_leg_loaded_level * weight,
                                        std::max(quiet, 0.0), drive_peak,
                                        settings.back_leg_loaded_hold / back.step));
  });
  return times;
}

}  // namespace moundwork::pitch
