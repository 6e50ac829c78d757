// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/quantities.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "core/base/unknown.h"
#include "core/foot/heel_toe.h"
#include "core/foot/sample_range.h"
#include "core/pitch/balance.h"
#include "core/pitch/turning.h"
#include "core/signal/series.h"

namespace moundwork::pitch {
namespace {

// Impulse in N s over session times.
double impulse(const foot::FootForces& foot, const Eigen::ArrayXd& force, double from, double to) {
  if (!(from <= to)) return unknown;
  return signal::integral(force, foot.index(from), foot.index(to)) * foot.step;
}

// Force-weighted mean centre of pressure over a time; NaN where there was none.
Eigen::Vector2d mean_cop(const foot::FootForces& foot, double from, double to, double least_force) {
  const foot::SampleRange range = foot::samples_in(foot, from, to);
  double x = 0.0;
  double y = 0.0;
  double weight = 0.0;
  for (Eigen::Index i = range.first; i <= range.last; ++i) {
    const double z = foot.z(i);
    if (!(z >= least_force) || std::isnan(foot.cop_x(i))) continue;
    x += z * foot.cop_x(i);
    y += z * foot.cop_y(i);
    weight += z;
  }
  return weight > 0.0 ? Eigen::Vector2d(x / weight, y / weight) : Eigen::Vector2d(unknown, unknown);
}

void drive_quantities(const ThrowData& data, const EventTimes& events, const definitions::Settings&,
                      QuantityValues& q) {
  const foot::FootForces& back = data.back;
  const double peak = at(events, Event::drive_peak);
  const double start = at(events, Event::drive_start);
  if (std::isnan(peak)) return;
  const double index = back.index(peak);
  at(q, Quantity::drive_peak_force) = signal::peak_value(back.x, index);
  const double fx = at(q, Quantity::drive_peak_force);
  const double fy = signal::value_at(back.y, index);
  at(q, Quantity::load_direction) = std::atan2(data.toe_side * fy, fx);
  at(q, Quantity::load_tilt) = std::atan2(std::hypot(fx, fy), signal::value_at(back.z, index));
  const auto positive = [&](double to) {
    return start <= to
               ? signal::positive_integral(back.x, back.index(start), back.index(to)) * back.step
               : unknown;
  };
  at(q, Quantity::drive_impulse) = positive(at(events, Event::lead_contact));
  at(q, Quantity::drive_impulse_to_foot_off) = positive(at(events, Event::back_foot_off));
}

// Share of the positive x impulse delivered on the heel's side of the limit.
void heel_share(const ThrowData& data, const EventTimes& events,
                const definitions::Settings& settings, QuantityValues& q) {
  if (!data.heel || !data.toe) return;
  const foot::FootForces& back = data.back;
  const foot::HeelToeLine line(*data.heel, *data.toe);
  const foot::SampleRange range =
      foot::samples_in(back, at(events, Event::drive_start), at(events, Event::lead_contact));
  if (range.empty()) return;
  const double limit = settings.heel_side_limit;
  const auto position = [&](Eigen::Index i) {
    return back.z(i) >= settings.least_cop_force ? line.percent(back.cop_x(i), back.cop_y(i))
                                                 : unknown;
  };
  double below = 0.0;
  double whole = 0.0;
  double p1 = position(range.first);
  for (Eigen::Index i = range.first; i < range.last; ++i) {
    const double piece = 0.5 * (std::max(back.x(i), 0.0) + std::max(back.x(i + 1), 0.0));
    whole += piece;
    const double p0 = p1;
    p1 = position(i + 1);
    if (std::isnan(p0) || std::isnan(p1)) continue;
    double share = 0.5 * ((p0 < limit) + (p1 < limit));
    if ((p0 < limit) != (p1 < limit)) {
      const double cross = (limit - p0) / (p1 - p0);
      share = p0 < limit ? cross : 1.0 - cross;
    }
    below += share * piece;
  }
  at(q, Quantity::heel_drive_share) = whole > 0.0 ? below / whole : unknown;
}

void heel_toe_quantities(const ThrowData& data, const EventTimes& events,
                         const definitions::Settings& settings, QuantityValues& q) {
  if (!data.heel || !data.toe) return;
  const foot::FootForces& back = data.back;
  const foot::HeelToeLine line(*data.heel, *data.toe);
  const double start = at(events, Event::drive_start);
  const double peak = at(events, Event::drive_peak);
  if (!std::isnan(peak))
    at(q, Quantity::heel_toe_at_drive_peak) =
        line.percent(signal::value_at(back.cop_x, back.index(peak)),
                     signal::value_at(back.cop_y, back.index(peak)));
  const auto mean = [&](double from, double to) {
    const Eigen::Vector2d cop = mean_cop(back, from, to, settings.least_cop_force);
    return line.percent(cop.x(), cop.y());  // the position is linear in the centre of pressure
  };
  at(q, Quantity::heel_toe_load_mean) = mean(at(events, Event::back_leg_loaded), start);
  at(q, Quantity::heel_toe_drive_mean) = mean(start, peak);
  at(q, Quantity::heel_toe_travel) =
      at(q, Quantity::heel_toe_at_drive_peak) - at(q, Quantity::heel_toe_load_mean);
}

void braking_quantities(const ThrowData& data, const EventTimes& events,
                        const definitions::Settings& settings, QuantityValues& q) {
  const foot::FootForces& lead = data.lead;
  const double contact = at(events, Event::lead_contact);
  const double release = at(events, Event::release);
  const double peak = at(events, Event::braking_peak);
  const double top = at(events, Event::vertical_peak);
  if (std::isnan(contact) || std::isnan(peak)) return;
  // Of the lead foot's samples those from a little before the first event on are read.
  const double earliest = std::min({contact, peak, std::isnan(top) ? contact : top});
  const auto offset = std::clamp<Eigen::Index>(static_cast<Eigen::Index>(lead.index(earliest)) - 2,
                                               0, lead.size() - 1);
  const Eigen::Index count = lead.size() - offset;
  const auto index = [&](double time) { return lead.index(time) - static_cast<double>(offset); };
  const Eigen::ArrayXd braking = -lead.x.tail(count);
  const auto vertical = lead.z.tail(count);
  const auto taken = [&](double to) {
    return contact <= to ? signal::integral(braking, index(contact), index(to)) * lead.step
                         : unknown;
  };
  at(q, Quantity::braking_peak_force) = signal::peak_value(braking, index(peak));
  at(q, Quantity::vertical_peak_force) = signal::peak_value(vertical, index(top));
  if (release <= lead.time(static_cast<double>(lead.size() - 1)))
    at(q, Quantity::braking_impulse) = taken(release);
  at(q, Quantity::braking_impulse_to_peak) = taken(peak);
  // Upward through zero: the first time the braking force falls below it after its peak.
  double zero = unknown;
  for (auto i = static_cast<Eigen::Index>(std::ceil(index(peak))); i + 1 < count; ++i)
    if (braking(i) > 0.0 && braking(i + 1) <= 0.0) {
      const double crossing = static_cast<double>(i) + braking(i) / (braking(i) - braking(i + 1));
      zero = lead.time(static_cast<double>(offset) + crossing);
      break;
    }
  at(q, Quantity::braking_impulse_whole) = taken(zero);
  at(q, Quantity::braking_timing) = peak - release;
  at(q, Quantity::braking_fraction_by_release) =
      at(q, Quantity::braking_impulse) / at(q, Quantity::braking_impulse_whole);

  // The line fit is the smoother here; a slope under a low-pass would be too small.
  const Eigen::ArrayXd raw_braking = -lead.raw_x.tail(count);
  const double length = settings.rate_fit / lead.step;
  const auto greatest_rate = [&](const Eigen::Ref<const Eigen::ArrayXd>& force, double until) {
    return signal::greatest_slope(force, index(contact), index(until), length) / lead.step;
  };
  const auto mean_rate = [&](const Eigen::Ref<const Eigen::ArrayXd>& force, double until,
                             double value) {
    return until > contact ? (value - signal::value_at(force, index(contact))) / (until - contact)
                           : unknown;
  };
  at(q, Quantity::braking_rate_greatest) = greatest_rate(raw_braking, peak);
  at(q, Quantity::vertical_rate_greatest) = greatest_rate(lead.raw_z.tail(count), top);
  at(q, Quantity::braking_rate_mean) =
      mean_rate(raw_braking, peak, at(q, Quantity::braking_peak_force));
  at(q, Quantity::vertical_rate_mean) =
      mean_rate(lead.contact_z.tail(count), top, at(q, Quantity::vertical_peak_force));
}

void momentum_quantities(const ThrowData& data, const EventTimes& events,
                         const definitions::Settings&, QuantityValues& q) {
  const auto momentum = [&](double until) {
    if (!(until <= data.back.time(static_cast<double>(data.back.size() - 1)))) return unknown;
    // The lead plate adds from its first sample: before, nobody is on it.
    return impulse(data.back, data.back.x, data.quiet_end, until) +
           impulse(data.lead, data.lead.x, data.quiet_end, until);
  };
  at(q, Quantity::momentum_at_contact) = momentum(at(events, Event::lead_contact));
  at(q, Quantity::momentum_at_release) = momentum(at(events, Event::release));
}

void turning_before_contact(const ThrowData& data, const EventTimes& events,
                            const definitions::Settings& settings, QuantityValues& q) {
  at(q, Quantity::turning_impulse_before_contact) = turning_impulse(
      data, at(events, Event::drive_start), at(events, Event::lead_contact), settings);
}

void turning_after_contact(const ThrowData& data, const EventTimes& events,
                           const definitions::Settings& settings, QuantityValues& q) {
  at(q, Quantity::turning_impulse_after_contact) =
      turning_impulse(data, at(events, Event::lead_contact), at(events, Event::release), settings);
}

void stride_quantities(const ThrowData& data, const EventTimes& events,
                       const definitions::Settings& settings, QuantityValues& q) {
  const double least = settings.least_cop_force;
  const double loaded = at(events, Event::back_leg_loaded);
  const double start = at(events, Event::drive_start);
  // A pitcher who drives before the back leg carries 0.9 BW has no load phase; the foot lies where
  // it lies, so the drive's mean stands in.
  const Eigen::Vector2d behind =
      loaded < start ? mean_cop(data.back, loaded, start, least)
                     : mean_cop(data.back, start, at(events, Event::drive_peak), least);
  const Eigen::Vector2d ahead =
      mean_cop(data.lead, at(events, Event::lead_contact), at(events, Event::release), least);
  at(q, Quantity::stride_length) = (ahead - behind).norm();
}

void balance_quantities(const ThrowData& data, const EventTimes& events,
                        const definitions::Settings& settings, QuantityValues& q) {
  const Sway sway = sway_of(data.back, at(events, Event::back_leg_loaded),
                            at(events, Event::drive_start), settings);
  at(q, Quantity::balance_path_length) = sway.path_length;
  at(q, Quantity::balance_sway_area) = sway.area;
}

void per_mass_and_weight(const ThrowData& data, QuantityValues& q) {
  const double weight = data.body_weight();
  const std::pair<Quantity, Quantity> per_mass[] = {
      {Quantity::drive_impulse, Quantity::drive_impulse_per_mass},
      {Quantity::drive_impulse_to_foot_off, Quantity::drive_impulse_to_foot_off_per_mass},
      {Quantity::braking_impulse, Quantity::braking_impulse_per_mass},
      {Quantity::braking_impulse_to_peak, Quantity::braking_impulse_to_peak_per_mass},
      {Quantity::braking_impulse_whole, Quantity::braking_impulse_whole_per_mass}};
  for (const auto& [from, to] : per_mass) at(q, to) = at(q, from) / data.mass;
  const std::pair<Quantity, Quantity> per_weight[] = {
      {Quantity::drive_peak_force, Quantity::drive_peak_force_bw},
      {Quantity::braking_peak_force, Quantity::braking_peak_force_bw},
      {Quantity::vertical_peak_force, Quantity::vertical_peak_force_bw},
      {Quantity::braking_rate_greatest, Quantity::braking_rate_greatest_bw},
      {Quantity::braking_rate_mean, Quantity::braking_rate_mean_bw},
      {Quantity::vertical_rate_greatest, Quantity::vertical_rate_greatest_bw},
      {Quantity::vertical_rate_mean, Quantity::vertical_rate_mean_bw}};
  for (const auto& [from, to] : per_weight) at(q, to) = at(q, from) / weight;
}

// Quantities that are computed together from the same parts of a throw.
struct Group {
  void (*compute)(const ThrowData&, const EventTimes&, const definitions::Settings&,
                  QuantityValues&);
  Parts reads;
  std::vector<Event> between;
  std::vector<Quantity> gives;
};

const std::vector<Group>& groups() {
  using E = Event;
  using Q = Quantity;
  static const std::vector<Group> all{
      {drive_quantities,
       part::back.x | part::back.y | part::back.z,
       {E::drive_start, E::drive_peak, E::lead_contact, E::back_foot_off},
       {Q::drive_peak_force, Q::load_direction, Q::load_tilt, Q::drive_impulse,
        Q::drive_impulse_to_foot_off}},
      {heel_toe_quantities,
       part::back.z | part::back.pressure | part::foot_line,
       {E::back_leg_loaded, E::drive_start, E::drive_peak},
       {Q::heel_toe_at_drive_peak, Q::heel_toe_load_mean, Q::heel_toe_drive_mean,
        Q::heel_toe_travel}},
      {heel_share,
       part::back.x | part::back.z | part::back.pressure | part::foot_line,
       {E::drive_start, E::lead_contact},
       {Q::heel_drive_share}},
      {braking_quantities,
       part::lead.x | part::lead.z,
       {E::lead_contact, E::braking_peak, E::vertical_peak, E::release},
       {Q::braking_peak_force, Q::vertical_peak_force, Q::braking_impulse,
        Q::braking_impulse_to_peak, Q::braking_impulse_whole, Q::braking_timing,
        Q::braking_fraction_by_release, Q::braking_rate_greatest, Q::vertical_rate_greatest,
        Q::braking_rate_mean, Q::vertical_rate_mean}},
      {momentum_quantities,
       part::back.x | part::lead.x,
       {E::lead_contact, E::release},
       {Q::momentum_at_contact, Q::momentum_at_release}},
      {turning_before_contact,
       part::back.all() | part::lead.all(),
       {E::drive_start, E::lead_contact},
       {Q::turning_impulse_before_contact}},
      {turning_after_contact,
       part::back.all() | part::lead.all(),
       {E::lead_contact, E::release},
       {Q::turning_impulse_after_contact}},
      {stride_quantities,
       part::back.z | part::back.pressure | part::lead.z | part::lead.pressure,
       {E::back_leg_loaded, E::drive_start, E::drive_peak, E::lead_contact, E::release},
       {Q::stride_length}},
      {balance_quantities,
       part::back.z | part::back.pressure,
       {E::back_leg_loaded, E::drive_start},
       {Q::balance_path_length, Q::balance_sway_area}}};
  return all;
}

// Closer than anything that a number could show, and farther than rounding.
bool same_time(double a, double b) {
  constexpr double nothing = 1e-12;  // s
  return std::abs(a - b) < nothing || (std::isnan(a) && std::isnan(b));
}

}  // namespace

QuantityValues compute_quantities(const ThrowData& data, const EventTimes& events,
                                  const definitions::Settings& settings) {
  return recompute_quantities(data, events, settings, part::all, {}, {});
}

QuantityValues recompute_quantities(const ThrowData& data, const EventTimes& events,
                                    const definitions::Settings& settings, Parts changed,
                                    const EventTimes& known_events, const QuantityValues& known) {
  QuantityValues q;
  q.fill(unknown);
  const auto moved = [&](Event event) {
    return !same_time(at(events, event), at(known_events, event));
  };
  for (const Group& group : groups()) {
    if ((group.reads & changed) != 0 ||
        std::any_of(group.between.begin(), group.between.end(), moved))
      group.compute(data, events, settings, q);
    else
      for (const Quantity quantity : group.gives) at(q, quantity) = at(known, quantity);
  }
  at(q, Quantity::ball_speed) = data.ball_speed;
  at(q, Quantity::contact_to_release) =
      at(events, Event::release) - at(events, Event::lead_contact);
  at(q, Quantity::both_feet_overlap) =
      at(events, Event::back_foot_off) - at(events, Event::lead_contact);
  at(q, Quantity::drive_peak_to_contact) =
      at(events, Event::lead_contact) - at(events, Event::drive_peak);
  at(q, Quantity::stride_length_height) = 100.0 * at(q, Quantity::stride_length) / data.height;
  per_mass_and_weight(data, q);
  return q;
}

}  // namespace moundwork::pitch
