// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/quantities.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "core/pitch/series.h"
#include "core/signal/butterworth.h"

namespace moundwork::pitch {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

// Indices of the samples of a foot within [from, to] (s).
struct Samples {
  Eigen::Index first = 0, last = -1;
  [[nodiscard]] bool empty() const { return last < first; }
};

Samples samples_in(const FootForces& foot, double from, double to) {
  if (!(from <= to)) return {};
  return {std::max<Eigen::Index>(0, static_cast<Eigen::Index>(std::ceil(foot.index(from)))),
          std::min<Eigen::Index>(foot.size() - 1,
                                 static_cast<Eigen::Index>(std::floor(foot.index(to))))};
}

// Impulse in N s over session times.
double impulse(const FootForces& foot, const Eigen::ArrayXd& force, double from, double to) {
  if (!(from <= to)) return none;
  return integral(force, foot.index(from), foot.index(to)) * foot.step;
}

// The stretch of a foot's heel-toe line, percent.
struct FootLine {
  Eigen::Vector2d heel, along;  // along = (toe - heel) / |toe - heel|^2
  [[nodiscard]] double position(double x, double y) const {
    return 100.0 * ((x - heel.x()) * along.x() + (y - heel.y()) * along.y());
  }
};

// Force-weighted mean centre of pressure over a time; NaN where there was none.
Eigen::Vector2d mean_cop(const FootForces& foot, double from, double to, double least_force) {
  const Samples range = samples_in(foot, from, to);
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  double weight = 0.0;
  for (Eigen::Index i = range.first; i <= range.last; ++i) {
    if (!(foot.z(i) >= least_force) || std::isnan(foot.cop_x(i))) continue;
    sum += foot.z(i) * Eigen::Vector2d(foot.cop_x(i), foot.cop_y(i));
    weight += foot.z(i);
  }
  return weight > 0.0 ? Eigen::Vector2d(sum / weight) : Eigen::Vector2d(none, none);
}

void drive_quantities(const ThrowData& data, const EventTimes& events, QuantityValues& q) {
  const FootForces& back = data.back;
  const double peak = at(events, Event::drive_peak);
  const double start = at(events, Event::drive_start);
  if (std::isnan(peak)) return;
  const double index = back.index(peak);
  at(q, Quantity::drive_peak_force) = peak_value(back.x, index);
  const double fx = at(q, Quantity::drive_peak_force);
  const double fy = value_at(back.y, index);
  at(q, Quantity::load_direction) = std::atan2(data.toe_side * fy, fx);
  at(q, Quantity::load_tilt) = std::atan2(std::hypot(fx, fy), value_at(back.z, index));
  const auto positive = [&](double to) {
    return start <= to ? positive_integral(back.x, back.index(start), back.index(to)) * back.step
                       : none;
  };
  at(q, Quantity::drive_impulse) = positive(at(events, Event::lead_contact));
  at(q, Quantity::drive_impulse_to_foot_off) = positive(at(events, Event::back_foot_off));
}

// Share of the positive x impulse delivered while the position is below the limit.
double heel_share(const FootForces& back, const Eigen::ArrayXd& position, double limit,
                  const Samples& range) {
  double below = 0.0;
  double whole = 0.0;
  for (Eigen::Index i = range.first; i < range.last; ++i) {
    const double piece = 0.5 * (std::max(back.x(i), 0.0) + std::max(back.x(i + 1), 0.0));
    whole += piece;
    const double p0 = position(i);
    const double p1 = position(i + 1);
    if (std::isnan(p0) || std::isnan(p1)) continue;
    double share = 0.5 * ((p0 < limit) + (p1 < limit));
    if ((p0 < limit) != (p1 < limit)) {
      const double cross = (limit - p0) / (p1 - p0);
      share = p0 < limit ? cross : 1.0 - cross;
    }
    below += share * piece;
  }
  return whole > 0.0 ? below / whole : none;
}

void heel_toe_quantities(const ThrowData& data, const EventTimes& events, const Settings& settings,
                         QuantityValues& q) {
  if (!data.heel || !data.toe) return;
  const FootForces& back = data.back;
  const Eigen::Vector2d across = *data.toe - *data.heel;
  const FootLine line{*data.heel, across / across.squaredNorm()};
  const double loaded = at(events, Event::back_leg_loaded);
  const double start = at(events, Event::drive_start);
  const double peak = at(events, Event::drive_peak);
  if (!std::isnan(peak))
    at(q, Quantity::heel_toe_at_drive_peak) = line.position(value_at(back.cop_x, back.index(peak)),
                                                            value_at(back.cop_y, back.index(peak)));
  const auto mean = [&](double from, double to) {
    const Eigen::Vector2d cop = mean_cop(back, from, to, settings.least_cop_force);
    return line.position(cop.x(), cop.y());  // the position is linear in the centre of pressure
  };
  at(q, Quantity::heel_toe_load_mean) = mean(loaded, start);
  at(q, Quantity::heel_toe_drive_mean) = mean(start, peak);
  at(q, Quantity::heel_toe_travel) =
      at(q, Quantity::heel_toe_at_drive_peak) - at(q, Quantity::heel_toe_load_mean);
  const Samples drive = samples_in(back, start, at(events, Event::lead_contact));
  if (drive.empty()) return;
  const Eigen::ArrayXd position =
      (back.z >= settings.least_cop_force)
          .select(100.0 * ((back.cop_x - line.heel.x()) * line.along.x() +
                           (back.cop_y - line.heel.y()) * line.along.y()),
                  none);
  at(q, Quantity::heel_drive_share) = heel_share(back, position, settings.heel_side_limit, drive);
}

void braking_quantities(const ThrowData& data, const EventTimes& events, const Settings& settings,
                        QuantityValues& q) {
  const FootForces& lead = data.lead;
  const double contact = at(events, Event::lead_contact);
  const double release = at(events, Event::release);
  const double peak = at(events, Event::braking_peak);
  const double top = at(events, Event::vertical_peak);
  if (std::isnan(contact) || std::isnan(peak)) return;
  const Eigen::ArrayXd braking = -lead.x;
  at(q, Quantity::braking_peak_force) = peak_value(braking, lead.index(peak));
  at(q, Quantity::vertical_peak_force) = peak_value(lead.z, lead.index(top));
  if (release <= lead.time(static_cast<double>(lead.size() - 1)))
    at(q, Quantity::braking_impulse) = impulse(lead, braking, contact, release);
  at(q, Quantity::braking_impulse_to_peak) = impulse(lead, braking, contact, peak);
  // Upward through nought: the first time the braking force falls below it after its peak.
  double zero = none;
  for (auto i = static_cast<Eigen::Index>(std::ceil(lead.index(peak))); i + 1 < lead.size(); ++i)
    if (braking(i) > 0.0 && braking(i + 1) <= 0.0) {
      zero = lead.time(static_cast<double>(i) + braking(i) / (braking(i) - braking(i + 1)));
      break;
    }
  at(q, Quantity::braking_impulse_whole) = impulse(lead, braking, contact, zero);
  at(q, Quantity::braking_timing) = peak - release;
  at(q, Quantity::contact_to_release) = release - contact;
  at(q, Quantity::braking_fraction_by_release) =
      at(q, Quantity::braking_impulse) / at(q, Quantity::braking_impulse_whole);

  // The line fit is the smoother here; a slope under a low-pass would be too small.
  const Eigen::ArrayXd raw_braking = -lead.raw_x;
  const double length = settings.rate_fit / lead.step;
  const auto greatest_rate = [&](const Eigen::ArrayXd& force, double until) {
    return greatest_slope(force, lead.index(contact), lead.index(until), length) / lead.step;
  };
  const auto mean_rate = [&](const Eigen::ArrayXd& force, double until, double value) {
    return until > contact ? (value - value_at(force, lead.index(contact))) / (until - contact)
                           : none;
  };
  at(q, Quantity::braking_rate_greatest) = greatest_rate(raw_braking, peak);
  at(q, Quantity::vertical_rate_greatest) = greatest_rate(lead.raw_z, top);
  at(q, Quantity::braking_rate_mean) =
      mean_rate(raw_braking, peak, at(q, Quantity::braking_peak_force));
  at(q, Quantity::vertical_rate_mean) =
      mean_rate(lead.contact_z, top, at(q, Quantity::vertical_peak_force));
}

// One foot at one time, as the turning moment needs it.
struct TurningFoot {
  double x, y, z, cop_x, cop_y, twist;
};

// A foot as the turning moment follows it over some of its samples.
struct TurningTrace {
  Eigen::ArrayXd cop_x, cop_y;
  std::vector<bool> counts;
};

// A foot that carries little still pushes sideways a stride away from the other. Where its centre
// of pressure is too weak to tell, the nearest one told stands in: the foot has not gone elsewhere.
// So it is followed from a load that counts to where it leaves the ground or from where it came
// down on it: there the vertical force is nought, or, with a zero that is a little off, no longer
// falls on the way out.
TurningTrace turning_trace(const FootForces& foot, const Samples& range, double least_force) {
  const Eigen::Index n = range.last - range.first + 1;
  TurningTrace trace{foot.cop_x.segment(range.first, n), foot.cop_y.segment(range.first, n),
                     std::vector<bool>(static_cast<std::size_t>(n))};
  const auto z = [&](Eigen::Index i) { return foot.z(range.first + i); };
  const auto counts = [&](Eigen::Index i) { return trace.counts[static_cast<std::size_t>(i)]; };
  for (Eigen::Index i = 0; i < n; ++i) {
    const bool told = z(i) >= least_force && !std::isnan(trace.cop_x(i));
    trace.counts[static_cast<std::size_t>(i)] = told;
    if (!told) trace.cop_x(i) = trace.cop_y(i) = none;
  }
  const auto follow = [&](Eigen::Index i, Eigen::Index from) {
    if (std::isnan(trace.cop_x(i))) {
      trace.cop_x(i) = trace.cop_x(from);
      trace.cop_y(i) = trace.cop_y(from);
    }
    if (counts(from) && z(i) > 0.0 && z(i) < z(from))
      trace.counts[static_cast<std::size_t>(i)] = true;
  };
  for (Eigen::Index i = 1; i < n; ++i) follow(i, i - 1);
  for (Eigen::Index i = n - 2; i >= 0; --i) follow(i, i + 1);
  return trace;
}

// Vertical moment of the feet about their common centre of pressure, N m.
double turning_moment(const std::array<TurningFoot, 2>& feet) {
  double weight = 0.0;
  double cx = 0.0;
  double cy = 0.0;
  for (const TurningFoot& foot : feet) {
    weight += foot.z;
    cx += foot.z * foot.cop_x;
    cy += foot.z * foot.cop_y;
  }
  if (!(weight > 0.0)) return 0.0;
  cx /= weight;
  cy /= weight;
  double moment = 0.0;
  for (const TurningFoot& foot : feet)
    if (foot.z > 0.0)
      moment += (foot.cop_x - cx) * foot.y - (foot.cop_y - cy) * foot.x + foot.twist;
  return moment;
}

double turning_impulse(const ThrowData& data, double from, double to, const Settings& settings) {
  const FootForces& back = data.back;
  const FootForces& lead = data.lead;
  if (!(from <= to) || to > back.time(static_cast<double>(back.size() - 1))) return none;
  const Samples range = samples_in(back, from - back.step, to + back.step);
  const Samples lead_range = samples_in(lead, from - 2.0 * back.step, to + 2.0 * back.step);
  if (range.empty() || lead_range.last - lead_range.first < 1) return none;
  const TurningTrace back_trace = turning_trace(back, range, settings.least_turning_force);
  const TurningTrace lead_trace = turning_trace(lead, lead_range, settings.least_turning_force);
  constexpr TurningFoot lifted{};
  const Eigen::Index lead_last = lead_range.last - lead_range.first;
  Eigen::ArrayXd moments(range.last - range.first + 1);
  for (Eigen::Index i = 0; i < moments.size(); ++i) {
    const Eigen::Index at = range.first + i;
    std::array<TurningFoot, 2> feet{lifted, lifted};
    if (back_trace.counts[static_cast<std::size_t>(i)])
      feet[0] = {back.x(at),          back.y(at),          back.z(at),
                 back_trace.cop_x(i), back_trace.cop_y(i), back.free_moment(at)};
    // Once the place between the lead foot's samples, then each of its series there.
    const double j = std::clamp(
        lead.index(back.time(static_cast<double>(at))) - static_cast<double>(lead_range.first), 0.0,
        static_cast<double>(lead_last - 1));
    const auto k = static_cast<Eigen::Index>(j);
    const double share = j - static_cast<double>(k);
    const auto between = [&](const Eigen::ArrayXd& series, Eigen::Index first) {
      return series(first + k) + share * (series(first + k + 1) - series(first + k));
    };
    const Eigen::Index first = lead_range.first;
    if (lead_trace.counts[static_cast<std::size_t>(std::lround(j))])
      feet[1] = {between(lead.x, first),       between(lead.y, first),
                 between(lead.z, first),       between(lead_trace.cop_x, 0),
                 between(lead_trace.cop_y, 0), between(lead.free_moment, first)};
    moments(i) = turning_moment(feet);
  }
  const auto within = [&](double time) {
    return back.index(time) - static_cast<double>(range.first);
  };
  return integral(moments, within(from), within(to)) * back.step;
}

void transfer_quantities(const ThrowData& data, const EventTimes& events, const Settings& settings,
                         QuantityValues& q) {
  const double contact = at(events, Event::lead_contact);
  const double release = at(events, Event::release);
  at(q, Quantity::both_feet_overlap) = at(events, Event::back_foot_off) - contact;
  at(q, Quantity::drive_peak_to_contact) = contact - at(events, Event::drive_peak);
  const auto momentum = [&](double until) {
    if (!(until <= data.back.time(static_cast<double>(data.back.size() - 1)))) return none;
    // The lead plate adds from its first sample: before, nobody is on it.
    return impulse(data.back, data.back.x, data.quiet_end, until) +
           impulse(data.lead, data.lead.x, data.quiet_end, until);
  };
  at(q, Quantity::momentum_at_contact) = momentum(contact);
  at(q, Quantity::momentum_at_release) = momentum(release);
  at(q, Quantity::turning_impulse_before_contact) =
      turning_impulse(data, at(events, Event::drive_start), contact, settings);
  at(q, Quantity::turning_impulse_after_contact) =
      turning_impulse(data, contact, release, settings);
}

// The range and up to `most` samples before and after it without a NaN.
Samples known_about(const Eigen::ArrayXd& values, const Samples& range, Eigen::Index most) {
  Samples wider = range;
  while (wider.first > 0 && range.first - wider.first < most &&
         !std::isnan(values(wider.first - 1)))
    --wider.first;
  while (wider.last + 1 < values.size() && wider.last - range.last < most &&
         !std::isnan(values(wider.last + 1)))
    ++wider.last;
  return wider;
}

// Length of the way through x and y, the low-passed centre of pressure over `range`. Noise across a
// step d makes it longer, by s^2 / (2 d) where it is small beside the step, so its variance s^2 is
// taken off the step's square. White noise of one sample of variance w leaves, under the two passes
// H = 1 / (1 + (omega / c)^4), the variance w T^3 c^3 sqrt(2) / 16 in a step of duration T: the
// integral of omega^2 H^2 is c^3 pi sqrt(2) / 16.
double path_length(const FootForces& back, const Samples& range, const Eigen::ArrayXd& x,
                   const Eigen::ArrayXd& y, const Settings& settings) {
  const Eigen::Index steps = x.size() - 1;
  const double cutoff =
      2.0 * std::numbers::pi * signal::design_cutoff(settings.sway_low_pass, 2, 2);
  const double left = std::pow(cutoff * back.step, 3) * std::numbers::sqrt2 / 16.0;
  const Eigen::ArrayXd xx = (x.tail(steps) - x.head(steps)).square();
  const Eigen::ArrayXd yy = (y.tail(steps) - y.head(steps)).square();
  // The centre of pressure is a moment over the vertical force: noise of both moves it.
  const auto variance = [&](const Eigen::ArrayXd& cop, double centre, double moment_noise) {
    return left *
           (std::pow(moment_noise, 2) + ((cop.head(steps) - centre) * back.noise(2)).square()) /
           back.z.segment(range.first, steps).square();
  };
  const Eigen::ArrayXd across = (yy * variance(x, back.centre.x(), back.noise(4)) +
                                 xx * variance(y, back.centre.y(), back.noise(3))) /
                                (xx + yy).max(std::numeric_limits<double>::min());
  return (xx + yy - across).max(0.0).sqrt().sum();
}

// Horizontal path and sway of the back foot's centre of pressure over the load.
void balance_quantities(const FootForces& back, const EventTimes& events, const Settings& settings,
                        QuantityValues& q) {
  const Samples range =
      samples_in(back, at(events, Event::back_leg_loaded), at(events, Event::drive_start));
  const auto sections =
      signal::low_pass(2, signal::design_cutoff(settings.sway_low_pass, 2, 2), 1.0 / back.step);
  constexpr Eigen::Index least_samples = 10;
  if (!sections || range.last - range.first < least_samples) return;
  const Eigen::Index count = range.last - range.first + 1;
  // The pressure is moving where the load begins and ends, so the filter runs in from outside.
  const auto run_in = static_cast<Eigen::Index>(3.0 / (settings.sway_low_pass * back.step));
  const Samples wider = known_about(back.cop_x, range, run_in);
  const auto filtered = [&](const Eigen::ArrayXd& cop) -> Eigen::ArrayXd {
    const Eigen::ArrayXd all =
        signal::zero_phase(*sections, cop.segment(wider.first, wider.last - wider.first + 1));
    return all.segment(range.first - wider.first, count);
  };
  const Eigen::ArrayXd x = filtered(back.cop_x);
  const Eigen::ArrayXd y = filtered(back.cop_y);
  at(q, Quantity::balance_path_length) = path_length(back, range, x, y, settings);
  const Eigen::ArrayXd dx = x - x.mean();
  const Eigen::ArrayXd dy = y - y.mean();
  const double n = static_cast<double>(count) - 1.0;
  const double xx = dx.square().sum() / n;
  const double yy = dy.square().sum() / n;
  const double xy = (dx * dy).sum() / n;
  constexpr double chi_square_95_of_two = 5.991464547107979;  // -2 ln 0.05
  at(q, Quantity::balance_sway_area) =
      std::numbers::pi * chi_square_95_of_two * std::sqrt(std::max(0.0, xx * yy - xy * xy));
}

void stride_quantities(const ThrowData& data, const EventTimes& events, const Settings& settings,
                       QuantityValues& q) {
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
  at(q, Quantity::stride_length_height) = 100.0 * at(q, Quantity::stride_length) / data.height;
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

}  // namespace

QuantityValues compute_quantities(const ThrowData& data, const EventTimes& events,
                                  const Settings& settings) {
  QuantityValues q;
  q.fill(none);
  at(q, Quantity::ball_speed) = data.ball_speed;
  drive_quantities(data, events, q);
  heel_toe_quantities(data, events, settings, q);
  braking_quantities(data, events, settings, q);
  transfer_quantities(data, events, settings, q);
  stride_quantities(data, events, settings, q);
  balance_quantities(data.back, events, settings, q);
  per_mass_and_weight(data, q);
  return q;
}

}  // namespace moundwork::pitch
