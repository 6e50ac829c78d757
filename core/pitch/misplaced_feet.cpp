// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/misplaced_feet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/foot/sample_range.h"
#include "core/session/flagged.h"
#include "core/signal/series.h"
#include "core/stats/median.h"

namespace moundwork::pitch {
namespace {

using definitions::Flag;
using definitions::Foot;
using definitions::reads;
using session::flagged;

// s before contact in which the lead foot is in the air in every delivery, and its filter's skirt.
constexpr double in_air = 0.30;
constexpr double landing_skirt = 0.04;

// A back foot that is dragged along stays within a foot's length, and its friction is a share of
// the little weight that is left on it.
constexpr double least_ahead = 0.35;     // m
constexpr double least_braking = 0.10;   // BW
constexpr double least_on_other = 0.03;  // BW

// `zero_u`: N, of the lead plates' zero: a zero that is wrong is no foot.
double on_lead_plates(const ThrowData& data, double contact, double zero_u) {
  const auto air = samples_in(data.lead, contact - in_air, contact - landing_skirt);
  if (air.count() < 3) return 0.0;
  const Eigen::ArrayXd vertical = data.lead.z.segment(air.first, air.count());
  if (!vertical.isFinite().all()) return 0.0;
  const double carried = stats::median(vertical) / data.body_weight();
  constexpr double sure = 4.0;  // standard uncertainties
  const double least = std::max(least_on_other, sure * zero_u / data.body_weight());
  return carried > least ? carried : 0.0;
}

double on_back_plates(const ThrowData& data, const EventTimes& events, double contact,
                      const definitions::Settings& settings) {
  const foot::FootForces& back = data.back;
  const auto drive = samples_in(back, contact - in_air, contact - landing_skirt);
  double until = at(events, Event::release);
  if (!(until > contact)) until = contact + settings.after_contact;
  const auto braking = samples_in(back, contact, until);
  if (drive.empty() || braking.empty()) return 0.0;
  const Eigen::ArrayXd stood = back.cop_x.segment(drive.first, drive.count());
  const Eigen::Index known = stood.size() - stood.isNaN().count();
  if (known == 0) return 0.0;
  const double place = stood.isNaN().select(0.0, stood).sum() / static_cast<double>(known);
  double ahead = 0.0;
  for (Eigen::Index i = braking.first; i <= braking.last; ++i)
    if (-back.x(i) > least_braking * data.body_weight() && back.cop_x(i) - place > ahead)
      ahead = back.cop_x(i) - place;
  return ahead > least_ahead ? ahead : 0.0;
}

// Of a plate's or a foot's series between two times, N s.
double impulse(const Eigen::Ref<const Eigen::ArrayXd>& force, double start, double step,
               double from, double to) {
  return from < to ? step * signal::integral(force, (from - start) / step, (to - start) / step)
                   : 0.0;
}

struct Impulses {
  double forward = 0.0, vertical = 0.0;  // N s
};
Impulses of_foot(const foot::FootForces& foot, double from, double to) {
  return {impulse(foot.raw_x, foot.start, foot.step, from, to),
          impulse(foot.raw_z, foot.start, foot.step, from, to)};
}
Impulses of_plate(const foot::PlateWindow& window, double from, double to) {
  const Eigen::ArrayXd x = window.wrench.col(0), z = window.wrench.col(2);
  return {impulse(x, window.start, window.step, from, to),
          impulse(z, window.start, window.step, from, to)};
}

// Of all that the plate and the foot carried, whichever way each pushed; 0 where neither did.
double share(double other, double counted) {
  const double all = std::abs(other) + std::abs(counted);
  return all > 0.0 ? std::abs(other) / all : 0.0;
}

}  // namespace

FeetOnEachOther feet_on_each_other(const ThrowData& data, const EventTimes& events,
                                   const foot::PlateWindow& lead,
                                   const definitions::Settings& settings) {
  const double contact = at(events, Event::lead_contact);
  if (!std::isfinite(contact)) return {};
  return {lead.zero_seen ? on_lead_plates(data, contact, lead.zero_u) : 0.0,
          on_back_plates(data, events, contact, settings)};
}

void blank_shared(const FeetOnEachOther& feet, QuantityValues& quantities) {
  for (std::size_t i = 0; i < quantity_count; ++i) {
    const auto quantity = static_cast<Quantity>(i);
    // The sum of both feet, whichever plates bear it.
    if (quantity == Quantity::momentum_at_contact || quantity == Quantity::momentum_at_release)
      continue;
    const Foot foot = definitions::entry(quantity).foot;
    if ((feet.back_on_lead > 0.0 && reads(foot, Foot::back)) ||
        (feet.lead_on_back > 0.0 && reads(foot, Foot::lead)))
      quantities[i] = std::numeric_limits<double>::quiet_NaN();
  }
}

std::vector<session::ResultFlag> shared_plate_flags(const FeetOnEachOther& feet) {
  std::vector<session::ResultFlag> flags;
  if (feet.back_on_lead > 0.0)
    flags.push_back(
        flagged(Flag::back_foot_on_lead_plate, fmt::arg("carried", 100.0 * feet.back_on_lead)));
  if (feet.lead_on_back > 0.0)
    flags.push_back(
        flagged(Flag::lead_foot_on_back_plate, fmt::arg("ahead", 100.0 * feet.lead_on_back)));
  return flags;
}

std::vector<session::ResultFlag> other_plate_flags(const PlatesOfThrow& plates,
                                                   const ThrowData& data,
                                                   const EventTimes& events) {
  // Less is what an empty plate's zero and noise make of an impulse.
  constexpr double least_share = 0.01;
  std::vector<session::ResultFlag> flags;
  const double contact = at(events, Event::lead_contact);
  if (!std::isfinite(contact)) return flags;
  double end = at(events, Event::release);
  if (!(end > contact)) end = at(events, Event::braking_peak);
  double begin = at(events, Event::drive_start);
  if (!(begin < contact)) begin = contact - in_air;
  for (const OtherPlate& other : plates.others) {
    if (!other.window.zero_seen) continue;  // what it shows is mostly its zero
    // What the lead foot's landing throws on it is not the drive's.
    const Impulses drive = of_plate(other.window, begin, contact - landing_skirt);
    const Impulses back = of_foot(data.back, begin, contact - landing_skirt);
    if (share(drive.vertical, back.vertical) > least_share ||
        share(drive.forward, back.forward) > least_share)
      flags.push_back(flagged(Flag::other_plate_in_drive, fmt::arg("plate", other.name),
                              fmt::arg("forward", 100.0 * share(drive.forward, back.forward)),
                              fmt::arg("vertical", 100.0 * share(drive.vertical, back.vertical))));
    if (!(end > contact)) continue;
    const Impulses landing = of_plate(other.window, contact, end);
    const Impulses lead = of_foot(data.lead, contact, end);
    if (share(landing.vertical, lead.vertical) > least_share ||
        share(landing.forward, lead.forward) > least_share)
      flags.push_back(
          flagged(Flag::other_plate_in_landing, fmt::arg("plate", other.name),
                  fmt::arg("braking", 100.0 * share(landing.forward, lead.forward)),
                  fmt::arg("vertical", 100.0 * share(landing.vertical, lead.vertical))));
  }
  return flags;
}

}  // namespace moundwork::pitch
