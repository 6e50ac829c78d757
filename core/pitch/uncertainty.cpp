// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "core/pitch/events.h"
#include "core/pitch/noise_bank.h"
#include "core/pitch/quantities.h"
#include "core/signal/butterworth.h"

namespace moundwork::pitch {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

// Twelve draws know a standard deviation to a fifth, and noise is seldom the largest part. What
// they do not know widens it as the t distribution of so many degrees of freedom is wider than the
// normal: variance n / (n - 2).
constexpr int noise_draws = 12;
constexpr double noise_share = 1.0 / (noise_draws - 2);

double norm(const Contributions& parts) {
  double sum = 0.0;
  for (const double part : parts) sum += part * part;
  return std::sqrt(sum);
}

foot::FootForces trimmed(const foot::FootForces& foot, double from, double to) {
  // Rounding of a time must not decide which sample is the first, whose noise is drawn first.
  constexpr double rounding = 1e-6;
  const auto first = std::clamp<Eigen::Index>(
      static_cast<Eigen::Index>(foot.index(from) + rounding), 0, foot.size() - 2);
  const auto last = std::clamp<Eigen::Index>(static_cast<Eigen::Index>(foot.index(to)), first + 1,
                                             foot.size() - 1);
  const Eigen::Index count = last - first + 1;
  foot::FootForces part;
  part.start = foot.time(static_cast<double>(first));
  part.step = foot.step;
  part.x = foot.x.segment(first, count);
  part.y = foot.y.segment(first, count);
  part.z = foot.z.segment(first, count);
  part.contact_z = foot.contact_z.segment(first, count);
  part.raw_x = foot.raw_x.segment(first, count);
  part.raw_z = foot.raw_z.segment(first, count);
  part.cop_x = foot.cop_x.segment(first, count);
  part.cop_y = foot.cop_y.segment(first, count);
  part.free_moment = foot.free_moment.segment(first, count);
  part.noise = foot.noise;
  part.centre = foot.centre;
  return part;
}

// The stretch that events and quantities read, so that measuring again is cheap.
foot::TimeSpan stretch_read(const ThrowData& data, const EventTimes& events,
                            const definitions::Settings& settings) {
  const double contact = at(events, Event::lead_contact);
  double from = std::min(contact - settings.drive_search,
                         std::isnan(data.quiet_end) ? contact : data.quiet_end);
  double to = contact + settings.after_contact;
  for (const double time : events) {
    if (time < from) from = time;
    if (time > to) to = time;
  }
  // Room for filters to run in and for events that move.
  constexpr double room = 0.3;
  return {from - room, to + room};
}

ThrowData trimmed(const ThrowData& data, const foot::TimeSpan& stretch, double release) {
  ThrowData part;
  part.back = trimmed(data.back, stretch.begin, stretch.end);
  part.lead = trimmed(data.lead, stretch.begin, stretch.end);
  part.coarse_contact = data.coarse_contact;
  part.quiet_end = data.quiet_end;
  part.mass = data.mass;
  part.height = data.height;
  part.toe_side = data.toe_side;
  part.heel = data.heel;
  part.toe = data.toe;
  part.release = release;
  part.ball_speed = data.ball_speed;
  return part;
}

// Integral of w^2 (H - H^2)^2 over that of w^2 H^2 for H = 1 / (1 + w^4), the response of the two
// passes to white noise: what filtering again changes of the variance of its slope.
constexpr double second_filter_slope = 0.21875;

// Quantities that noise reaches through the time of a peak more than any other way.
constexpr std::array by_braking_peak{
    Quantity::braking_impulse_to_peak, Quantity::braking_impulse_to_peak_per_mass,
    Quantity::braking_timing, Quantity::braking_rate_mean, Quantity::braking_rate_mean_bw};
constexpr std::array by_vertical_peak{Quantity::vertical_rate_mean,
                                      Quantity::vertical_rate_mean_bw};

// Only these show in events.
constexpr Parts shows_events =
    part::back_x | part::back_z | part::lead_x | part::lead_z | part::body_mass | part::release;

// A throw as far as an input can change it.
struct Trial {
  ThrowData data;
  EventTimes moved;
};

class Propagation {
 public:
  Propagation(ThrowData base, const EventTimes& moved, const definitions::Settings& settings)
      : base_{std::move(base), moved}, work_(base_), settings_(settings) {
    events_ = find_events(base_.data, settings_, base_.moved);
    quantities_ = compute_quantities(base_.data, events_, settings_);
  }

  // Moves an input that touches `parts`, measures again and puts the square of what changed to
  // `source`.
  template <class Mutate>
  void move(Source source, Parts parts, const Mutate& mutate) {
    mutate(work_);
    add(source, parts, 1.0);
    restore(parts);
  }

  // As `move` for a series of moves, each of which writes all that the one before wrote.
  template <class Mutate>
  void draw(Source source, const Mutate& mutate, double share) {
    mutate(work_.data);
    add(source, part::all, share);
  }

  void add(Source source, const ThrowData& changed, const definitions::Settings& settings) {
    add(source, {changed, base_.moved}, settings);
  }

  // The same throw read under other settings.
  void read_otherwise(Source source, const definitions::Settings& settings) {
    add(source, base_, settings);
  }

  void thresholds(const definitions::Settings& settings) {
    const EventTimes events = find_events(base_.data, settings, base_.moved);
    const QuantityValues quantities = compute_quantities(base_.data, events, settings);
    for (std::size_t i = 0; i < event_count; ++i)
      result_.event_thresholds[i] = events[i] - events_[i];
    for (std::size_t i = 0; i < quantity_count; ++i)
      result_.quantity_thresholds[i] = quantities[i] - quantities_[i];
  }

  // Another's part from one source.
  void take(Source source, const Propagation& other) {
    const auto column = static_cast<std::size_t>(source);
    for (std::size_t i = 0; i < event_count; ++i)
      result_.events[i][column] += other.result_.events[i][column];
    for (std::size_t i = 0; i < quantity_count; ++i)
      result_.quantities[i][column] += other.result_.quantities[i][column];
  }

  // Another's part of one number from one source, in place of the own.
  void take(Source source, const Propagation& other, Event event) {
    const auto column = static_cast<std::size_t>(source);
    const auto row = static_cast<std::size_t>(event);
    result_.events[row][column] = other.result_.events[row][column];
  }
  void take(Source source, const Propagation& other, Quantity quantity) {
    const auto column = static_cast<std::size_t>(source);
    const auto row = static_cast<std::size_t>(quantity);
    result_.quantities[row][column] = other.result_.quantities[row][column];
  }

  // The second filter moves the noise too, which is then counted twice. Where a peak's time is all
  // that noise changes, it goes with the noise's slope, and of the slope's variance the second
  // filter changes a share that the filter alone fixes. It is left to the filter's part: taken from
  // that, it would have to be held at 0 as often as the one change seen is less.
  void count_noise_once() {
    const auto lessen = [](Contributions& parts) {
      parts[static_cast<std::size_t>(Source::noise)] *= 1.0 - second_filter_slope;
    };
    const auto lessen_by = [&](Event peak, const auto& quantities) {
      if (std::isfinite(at(base_.moved, peak))) return;  // put by hand, no filter moves it
      lessen(result_.events[static_cast<std::size_t>(peak)]);
      for (const Quantity quantity : quantities)
        lessen(result_.quantities[static_cast<std::size_t>(quantity)]);
    };
    lessen_by(Event::braking_peak, by_braking_peak);
    lessen_by(Event::vertical_peak, by_vertical_peak);
  }

  [[nodiscard]] const ThrowData& data() const { return base_.data; }
  [[nodiscard]] const EventTimes& moved() const { return base_.moved; }
  [[nodiscard]] const EventTimes& events() const { return events_; }
  [[nodiscard]] Uncertainty result() const {
    Uncertainty roots = result_;
    for (auto& parts : roots.events)
      for (double& part : parts) part = std::sqrt(part);
    for (auto& parts : roots.quantities)
      for (double& part : parts) part = std::sqrt(part);
    return roots;
  }

 private:
  void add(Source source, const Trial& changed, const definitions::Settings& settings) {
    const EventTimes events = find_events(changed.data, settings, changed.moved);
    gather(source, events, compute_quantities(changed.data, events, settings), 1.0);
  }

  void add(Source source, Parts parts, double share) {
    const bool same_events = (parts & shows_events) == 0;
    const EventTimes events =
        same_events ? events_ : find_events(work_.data, settings_, work_.moved);
    gather(source, events,
           recompute_quantities(work_.data, events, settings_, parts, events_, quantities_), share);
  }

  void gather(Source source, const EventTimes& events, const QuantityValues& quantities,
              double share) {
    const auto column = static_cast<std::size_t>(source);
    for (std::size_t i = 0; i < event_count; ++i)
      gather(result_.events[i][column], events[i] - events_[i], share);
    for (std::size_t i = 0; i < quantity_count; ++i)
      gather(result_.quantities[i][column], quantities[i] - quantities_[i], share);
  }

  // Sizes are the same, so nothing is allocated.
  void restore(Parts parts) {
    restore(work_.data.back, base_.data.back, parts, part::back_x);
    restore(work_.data.lead, base_.data.lead, parts, part::lead_x);
    work_.moved = base_.moved;
    work_.data.back.start = base_.data.back.start;
    work_.data.lead.start = base_.data.lead.start;
    work_.data.coarse_contact = base_.data.coarse_contact;
    work_.data.mass = base_.data.mass;
    work_.data.height = base_.data.height;
    work_.data.heel = base_.data.heel;
    work_.data.toe = base_.data.toe;
    work_.data.release = base_.data.release;
    work_.data.ball_speed = base_.data.ball_speed;
  }

  // The two feet's parts are the same bits from their first one on.
  static void restore(foot::FootForces& foot, const foot::FootForces& base, Parts parts,
                      Parts foot_first) {
    const auto of_foot = [&](Parts back) { return parts & (back * foot_first); };
    if (of_foot(part::back_x)) {
      foot.x = base.x;
      foot.raw_x = base.raw_x;
    }
    if (of_foot(part::back_y)) foot.y = base.y;
    if (of_foot(part::back_z)) {
      foot.z = base.z;
      foot.contact_z = base.contact_z;
      foot.raw_z = base.raw_z;
    }
    if (of_foot(part::back_pressure)) {
      foot.cop_x = base.cop_x;
      foot.cop_y = base.cop_y;
    }
    if (of_foot(part::back_twist)) foot.free_moment = base.free_moment;
  }

  static void gather(double& variance, double change, double share) {
    // A number that the move makes unmeasurable tells nothing of its spread.
    if (std::isfinite(change)) variance += share * change * change;
  }

  Trial base_, work_;
  const definitions::Settings& settings_;
  EventTimes events_{};
  QuantityValues quantities_{};
  Uncertainty result_;
};

// One foot of a throw and the first of its bits.
struct Foot {
  foot::FootForces ThrowData::*forces;
  Parts first;

  [[nodiscard]] Parts parts(Parts back) const { return back * first; }
};
constexpr Foot back_foot{&ThrowData::back, part::back_x};
constexpr Foot lead_foot{&ThrowData::lead, part::lead_x};

// A horizontal force that reads wrong by `error` also leaves a wrong free moment: T = Mz - (p x F)z
// about the plate's centre.
template <class Error>
void shift_x(foot::FootForces& foot, const Error& error, double centre_y) {
  foot.free_moment += foot.cop_y.isNaN().select(0.0, (foot.cop_y - centre_y) * error);
  foot.raw_x += error;
  foot.x += error;
}
template <class Error>
void shift_y(foot::FootForces& foot, const Error& error, double centre_x) {
  foot.free_moment -= foot.cop_x.isNaN().select(0.0, (foot.cop_x - centre_x) * error);
  foot.y += error;
}
void shift_z(foot::FootForces& foot, double gain, double zero) {
  for (Eigen::ArrayXd* z : {&foot.z, &foot.contact_z, &foot.raw_z}) *z = *z * (1.0 + gain) + zero;
}

constexpr Parts x_and_twist = part::back_x | part::back_twist;
constexpr Parts y_and_twist = part::back_y | part::back_twist;
constexpr Parts pressure_and_twist = part::back_pressure | part::back_twist;

void move_calibration(Propagation& propagation, Foot foot, const FootInputs& inputs) {
  const session::PlateAccuracy& accuracy = inputs.accuracy;
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::calibration, foot.parts(parts),
                     [&](Trial& trial) { mutate(trial.data.*foot.forces); });
  };
  if (accuracy.gain > 0.0) {
    move(x_and_twist,
         [&](foot::FootForces& f) { shift_x(f, accuracy.gain * f.x, inputs.centre.y()); });
    move(y_and_twist,
         [&](foot::FootForces& f) { shift_y(f, accuracy.gain * f.y, inputs.centre.x()); });
    move(part::back_z, [&](foot::FootForces& f) { shift_z(f, accuracy.gain, 0.0); });
    move(part::back_twist, [&](foot::FootForces& f) { f.free_moment *= 1.0 + accuracy.gain; });
  }
  if (accuracy.crosstalk > 0.0) {
    move(x_and_twist,
         [&](foot::FootForces& f) { shift_x(f, accuracy.crosstalk * f.z, inputs.centre.y()); });
    move(y_and_twist,
         [&](foot::FootForces& f) { shift_y(f, accuracy.crosstalk * f.z, inputs.centre.x()); });
  }
  if (accuracy.cop > 0.0) {
    move(pressure_and_twist, [&](foot::FootForces& f) {
      f.cop_x += accuracy.cop;
      f.free_moment -= accuracy.cop * f.y;
    });
    move(pressure_and_twist, [&](foot::FootForces& f) {
      f.cop_y += accuracy.cop;
      f.free_moment += accuracy.cop * f.x;
    });
  }
}

void move_zero(Propagation& propagation, Foot foot, const FootInputs& inputs) {
  const auto move = [&](Parts parts, const auto& mutate) {
    propagation.move(Source::zero, foot.parts(parts),
                     [&](Trial& trial) { mutate(trial.data.*foot.forces); });
  };
  const auto constant = [&](const foot::FootForces& f) {
    return Eigen::ArrayXd::Constant(f.size(), inputs.zero);
  };
  move(x_and_twist, [&](foot::FootForces& f) { shift_x(f, constant(f), inputs.centre.y()); });
  move(y_and_twist, [&](foot::FootForces& f) { shift_y(f, constant(f), inputs.centre.x()); });
  move(part::back_z, [&](foot::FootForces& f) { shift_z(f, 0.0, inputs.zero); });
}

// Events read off a foot's trace; the release is none of them.
constexpr std::array back_events{Event::back_leg_loaded, Event::drive_start, Event::drive_peak,
                                 Event::back_foot_off};
constexpr std::array lead_events{Event::lead_contact, Event::braking_peak, Event::vertical_peak};

// A person puts an event on a plate's trace, so it goes with that plate's clock, as does a release
// whose trigger is wired to that plate's device.
void move_clocks(Propagation& propagation, const InputUncertainty& inputs) {
  const auto shift_events = [](Trial& trial, const auto& events, double by) {
    for (const Event event : events) at(trial.moved, event) += by;
  };
  const auto shift_back = [&](Trial& t, double by) {
    t.data.back.start += by;
    shift_events(t, back_events, by);
  };
  const auto shift_lead = [&](Trial& t, double by) {
    t.data.lead.start += by;
    t.data.coarse_contact += by;
    shift_events(t, lead_events, by);
  };
  if (inputs.one_clock) {
    propagation.move(Source::clock, part::all, [&](Trial& t) {
      shift_back(t, inputs.back.clock);
      shift_lead(t, inputs.back.clock);
      t.data.release += inputs.release_by_back_clock * inputs.back.clock;
    });
    return;
  }
  constexpr Parts back_clock = part::back_foot | part::release;
  propagation.move(Source::clock, back_clock, [&](Trial& t) {
    shift_back(t, inputs.back.clock);
    t.data.release += inputs.release_by_back_clock * inputs.back.clock;
  });
  constexpr Parts lead_clock = part::lead_foot | part::release;
  propagation.move(Source::clock, lead_clock, [&](Trial& t) {
    shift_lead(t, inputs.lead.clock);
    t.data.release += inputs.release_by_lead_clock * inputs.lead.clock;
  });
}

void move_put_events(Propagation& propagation, const EventTimes& put, const EventTimes& u) {
  for (std::size_t i = 0; i < event_count; ++i)
    if (std::isfinite(put[i]))
      propagation.move(Source::moved, part::release, [&](Trial& t) { t.moved[i] += u[i]; });
}

// Noise on a foot's samples, in place of what `foot` held. The horizontal forces are summed from
// the quiet set on, all else is read from `loaded_from` (s) on.
void set_noisy(foot::FootForces& foot, const foot::FootForces& base, double loaded_from,
               const FootInputs& inputs, const NoiseBank& bank, Eigen::Index stream) {
  const Eigen::Array<double, 1, 6>& noise = inputs.noise;
  // A recording longer than the bank is noisier only where no event lies.
  const auto draw = [&](Eigen::Index k) { return bank.draw(stream + k, base.size()); };
  const auto x = draw(0);
  const auto y = draw(1);
  const auto z = draw(2);
  const auto about_y = draw(3);
  const auto about_x = draw(4);
  const auto twist = draw(5);
  const Eigen::Index used = x.white.size();
  const auto first =
      std::clamp<Eigen::Index>(static_cast<Eigen::Index>(base.index(loaded_from)), 0, used - 1);
  const Eigen::Index n = used - first;
  const auto late = [&](auto& series) { return series.segment(first, n); };
  foot.x.head(used) = base.x.head(used) + noise(0) * x.smooth;
  late(foot.raw_x) = late(base.raw_x) + noise(0) * late(x.white);
  late(foot.y) = late(base.y) + noise(1) * late(y.smooth);
  foot.z.head(used) = base.z.head(used) + noise(2) * z.smooth;
  late(foot.contact_z) = late(base.contact_z) + noise(2) * late(z.light);
  late(foot.raw_z) = late(base.raw_z) + noise(2) * late(z.white);
  // About the plate's centre: x of the centre of pressure comes from the moment about y over the
  // vertical force, and the reverse; the free moment is what the horizontal forces leave there.
  for (Eigen::Index i = first; i < used; ++i) {
    if (std::isnan(base.cop_x(i))) {
      foot.free_moment(i) = base.free_moment(i) + noise(5) * twist.smooth(i);
      continue;
    }
    const double arm_x = base.cop_x(i) - inputs.centre.x();
    const double arm_y = base.cop_y(i) - inputs.centre.y();
    const double per_force = 1.0 / foot.z(i);
    const double down = noise(2) * z.smooth(i);
    foot.cop_x(i) = base.cop_x(i) + (noise(4) * about_y.smooth(i) - arm_x * down) * per_force;
    foot.cop_y(i) = base.cop_y(i) + (noise(3) * about_x.smooth(i) - arm_y * down) * per_force;
    foot.free_moment(i) = base.free_moment(i) + noise(5) * twist.smooth(i) +
                          arm_y * noise(0) * x.smooth(i) - arm_x * noise(1) * y.smooth(i);
  }
  foot.noise = base.noise * std::numbers::sqrt2;  // as much again, independent
}

// The drive is slow and its top flat, so that the noise already in the trace shapes the top: noise
// added to it says too little where a bump stands out by chance and too much where bumps are level.
// A quarter of the cut-off keeps a drive of half a second and leaves half of the noise.
constexpr double calmer_drive = 0.25;

ThrowData with_calm_drive(const ThrowData& data, const definitions::Settings& settings) {
  ThrowData calm = data;
  const auto sections = signal::low_pass(
      2, signal::design_cutoff(calmer_drive * settings.low_pass, 2, 2), 1.0 / data.back.step);
  if (sections) calm.back.x = signal::zero_phase(*sections, data.back.x);
  return calm;
}

// The noise already in a trace bends its peaks and crossings, so that noise added to it meets them
// doubly noisy. Filtered a second time, a trace keeps a fifth of the noise in its curvature. The
// edge of a contact is a steep line and would be blunted.
void move_noise(Propagation& propagation, const ThrowData& twice, const InputUncertainty& inputs,
                const definitions::Settings& settings) {
  ThrowData calmer = with_calm_drive(twice, settings);
  calmer.back.contact_z = propagation.data().back.contact_z;
  calmer.lead.contact_z = propagation.data().lead.contact_z;
  Propagation calm(std::move(calmer), propagation.moved(), settings);
  const ThrowData& base = calm.data();
  const EventTimes& events = calm.events();
  // With room for the sway's filter to run in, and for a contact to come earlier.
  constexpr double room = 0.35;
  double loaded = at(events, Event::lead_contact) - settings.drive_search;
  for (const double time : events) loaded = std::min(loaded, std::isnan(time) ? loaded : time);
  const double landing = std::min(base.coarse_contact, at(events, Event::lead_contact)) - room;
  const NoiseBank& bank = NoiseBank::for_step(twice.back.step, settings);
  constexpr Eigen::Index streams_per_foot = 6;
  for (Eigen::Index draw = 0; draw < noise_draws; ++draw)
    calm.draw(
        Source::noise,
        [&](ThrowData& t) {
          set_noisy(t.back, base.back, loaded - room, inputs.back, bank,
                    2 * draw * streams_per_foot);
          set_noisy(t.lead, base.lead, landing, inputs.lead, bank,
                    (2 * draw + 1) * streams_per_foot);
        },
        noise_share);
  propagation.take(Source::noise, calm);
}

// What a low-pass takes from a smooth signal it takes once more when it is applied again (Tukey's
// twicing), and a second time it meets little noise, which a wider filter would let in. The path
// of the centre of pressure filters for itself: of what lies well below the cut-off, twice takes
// as much as once with a cut-off lower by 2^(1/4), since the two passes have the response
// 1 / (1 + (f / f_0)^4). A low-pass errs to one side, so all of the change is taken.
void move_filter(Propagation& propagation, const ThrowData& twice,
                 const definitions::Settings& settings) {
  definitions::Settings again = settings;
  again.sway_low_pass /= std::pow(2.0, 0.25);
  propagation.add(Source::filter, twice, again);
  propagation.count_noise_once();
  // From bump to bump of a flat top it is noise that goes with the second filter: the drive peak's
  // place is asked of the calmer drive.
  Propagation calm(with_calm_drive(propagation.data(), settings), propagation.moved(), settings);
  calm.add(Source::filter, with_calm_drive(twice, settings), settings);
  propagation.take(Source::filter, calm, Event::drive_peak);
  propagation.take(Source::filter, calm, Quantity::drive_peak_to_contact);
}

}  // namespace

std::string_view name_of(Source source) {
  constexpr std::array<std::string_view, source_count> names{
      "calibration", "zero",  "noise", "filter", "foot_line",
      "release",     "clock", "body",  "ball",   "moved"};
  return names.at(static_cast<std::size_t>(source));
}

double Uncertainty::u(Event event) const {
  return norm(events.at(static_cast<std::size_t>(event)));
}
double Uncertainty::u(Quantity quantity) const {
  return norm(quantities.at(static_cast<std::size_t>(quantity)));
}

Uncertainty propagate(const ThrowData& data, const ThrowData& twice, const EventTimes& events,
                      const MovedEvents& moved, const InputUncertainty& inputs,
                      const definitions::Settings& settings) {
  // Where a person put the release is an input like any other release.
  EventTimes put = moved.times;
  at(put, Event::release) = none;
  const foot::TimeSpan stretch = stretch_read(data, events, settings);
  const double release = at(events, Event::release);
  Propagation propagation(trimmed(data, stretch, release), put, settings);
  move_calibration(propagation, back_foot, inputs.back);
  move_calibration(propagation, lead_foot, inputs.lead);
  move_zero(propagation, back_foot, inputs.back);
  move_zero(propagation, lead_foot, inputs.lead);

  const ThrowData filtered_twice = trimmed(twice, stretch, release);
  move_noise(propagation, filtered_twice, inputs, settings);
  move_filter(propagation, filtered_twice, settings);

  // What a foot does below the force down to which it is followed is as unknown as what it does in
  // the next stretch above.
  definitions::Settings heavier = settings;
  heavier.least_turning_force *= 2.0;
  propagation.read_otherwise(Source::zero, heavier);

  if (data.heel && data.toe && inputs.foot_line > 0.0)
    for (const Eigen::Index axis : {0, 1}) {
      propagation.move(Source::foot_line, part::foot_line,
                       [&](Trial& t) { (*t.data.heel)(axis) += inputs.foot_line; });
      propagation.move(Source::foot_line, part::foot_line,
                       [&](Trial& t) { (*t.data.toe)(axis) += inputs.foot_line; });
    }
  propagation.move(Source::release, part::release,
                   [&](Trial& t) { t.data.release += inputs.release; });
  move_clocks(propagation, inputs);
  move_put_events(propagation, put, moved.u);
  propagation.move(Source::body, part::body_mass, [&](Trial& t) { t.data.mass += inputs.mass; });
  propagation.move(Source::body, part::alone, [&](Trial& t) { t.data.height += inputs.height; });
  propagation.move(Source::ball, part::alone,
                   [&](Trial& t) { t.data.ball_speed += inputs.ball_speed; });

  definitions::Settings higher = settings;
  constexpr double more = 1.2;
  higher.contact_level *= more;
  higher.foot_off_level *= more;
  higher.drive_start_level *= more;
  // A fifth more than 0.9 BW is more than anybody weighs standing still.
  higher.back_leg_loaded_level *= 1.0 + 0.1 * (more - 1.0);
  propagation.thresholds(higher);
  return propagation.result();
}

}  // namespace moundwork::pitch
