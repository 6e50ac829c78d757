// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

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

FootForces trimmed(const FootForces& foot, double from, double to) {
  const auto first =
      std::clamp<Eigen::Index>(static_cast<Eigen::Index>(foot.index(from)), 0, foot.size() - 2);
  const auto last = std::clamp<Eigen::Index>(static_cast<Eigen::Index>(foot.index(to)), first + 1,
                                             foot.size() - 1);
  const Eigen::Index count = last - first + 1;
  FootForces part;
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
Span stretch_read(const ThrowData& data, const EventTimes& events, const Settings& settings) {
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

ThrowData trimmed(const ThrowData& data, const Span& stretch, double release) {
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

constexpr std::array peaks{Event::braking_peak, Event::vertical_peak};
// Quantities that noise reaches through the time of a peak more than any other way.
constexpr std::array by_peak_times{
    Quantity::braking_impulse_to_peak, Quantity::braking_impulse_to_peak_per_mass,
    Quantity::braking_timing,          Quantity::braking_rate_mean,
    Quantity::braking_rate_mean_bw,    Quantity::vertical_rate_mean,
    Quantity::vertical_rate_mean_bw};

// A throw as far as an input can change it.
struct Trial {
  ThrowData data;
  EventTimes moved;
};

class Propagation {
 public:
  Propagation(const ThrowData& base, const EventTimes& moved, const Settings& settings)
      : base_{base, moved}, work_(base_), settings_(settings) {
    events_ = find_events(base_.data, settings_, base_.moved);
    quantities_ = compute_quantities(base_.data, events_, settings_);
  }

  // Moves an input, measures again and puts the square of what changed, over `share`, to `source`.
  void move(Source source, const std::function<void(Trial&)>& mutate, double share = 1.0) {
    mutate(work_);
    add(source, work_, settings_, share);
    work_ = base_;  // same sizes, so nothing is allocated
  }

  void add(Source source, const ThrowData& changed, const Settings& settings) {
    add(source, {changed, base_.moved}, settings, 1.0);
  }

  // The same throw read under other settings.
  void read_otherwise(Source source, const Settings& settings) {
    add(source, base_, settings, 1.0);
  }

  void thresholds(const Settings& settings) {
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
  // that, it would have to be held at nought as often as the one change seen is less.
  void count_noise_once() {
    const auto lessen = [](Contributions& parts) {
      parts[static_cast<std::size_t>(Source::noise)] *= 1.0 - second_filter_slope;
    };
    for (const Event event : peaks) lessen(result_.events[static_cast<std::size_t>(event)]);
    for (const Quantity quantity : by_peak_times)
      lessen(result_.quantities[static_cast<std::size_t>(quantity)]);
  }

  [[nodiscard]] const ThrowData& data() const { return base_.data; }
  [[nodiscard]] const EventTimes& moved() const { return base_.moved; }
  [[nodiscard]] Uncertainty result() const {
    Uncertainty roots = result_;
    for (auto& parts : roots.events)
      for (double& part : parts) part = std::sqrt(part);
    for (auto& parts : roots.quantities)
      for (double& part : parts) part = std::sqrt(part);
    return roots;
  }

 private:
  void add(Source source, const Trial& changed, const Settings& settings, double share) {
    const EventTimes events = find_events(changed.data, settings, changed.moved);
    const QuantityValues quantities = compute_quantities(changed.data, events, settings);
    const auto column = static_cast<std::size_t>(source);
    for (std::size_t i = 0; i < event_count; ++i)
      gather(result_.events[i][column], events[i] - events_[i], share);
    for (std::size_t i = 0; i < quantity_count; ++i)
      gather(result_.quantities[i][column], quantities[i] - quantities_[i], share);
  }

  static void gather(double& variance, double change, double share) {
    // A number that the move makes unmeasurable tells nothing of its spread.
    if (std::isfinite(change)) variance += share * change * change;
  }

  Trial base_, work_;
  const Settings& settings_;
  EventTimes events_{};
  QuantityValues quantities_{};
  Uncertainty result_;
};

using Foot = FootForces ThrowData::*;

// A horizontal force that reads wrong by `error` also leaves a wrong free moment: T = Mz - (p x F)z
// about the plate's centre.
void shift_x(FootForces& foot, const Eigen::ArrayXd& error, double centre_y) {
  foot.x += error;
  foot.raw_x += error;
  foot.free_moment += foot.cop_y.isNaN().select(0.0, (foot.cop_y - centre_y) * error);
}
void shift_y(FootForces& foot, const Eigen::ArrayXd& error, double centre_x) {
  foot.y += error;
  foot.free_moment -= foot.cop_x.isNaN().select(0.0, (foot.cop_x - centre_x) * error);
}
void shift_z(FootForces& foot, double gain, double zero) {
  for (Eigen::ArrayXd* z : {&foot.z, &foot.contact_z, &foot.raw_z}) *z = *z * (1.0 + gain) + zero;
}

void move_calibration(Propagation& propagation, Foot foot, const FootInputs& inputs) {
  const session::PlateAccuracy& accuracy = inputs.accuracy;
  const auto move = [&](const std::function<void(FootForces&)>& mutate) {
    propagation.move(Source::calibration, [&](Trial& trial) { mutate(trial.data.*foot); });
  };
  if (accuracy.gain > 0.0) {
    move([&](FootForces& f) { shift_x(f, accuracy.gain * f.x, inputs.centre.y()); });
    move([&](FootForces& f) { shift_y(f, accuracy.gain * f.y, inputs.centre.x()); });
    move([&](FootForces& f) { shift_z(f, accuracy.gain, 0.0); });
    move([&](FootForces& f) { f.free_moment *= 1.0 + accuracy.gain; });
  }
  if (accuracy.crosstalk > 0.0) {
    move([&](FootForces& f) { shift_x(f, accuracy.crosstalk * f.z, inputs.centre.y()); });
    move([&](FootForces& f) { shift_y(f, accuracy.crosstalk * f.z, inputs.centre.x()); });
  }
  if (accuracy.cop > 0.0) {
    move([&](FootForces& f) {
      f.cop_x += accuracy.cop;
      f.free_moment -= accuracy.cop * f.y;
    });
    move([&](FootForces& f) {
      f.cop_y += accuracy.cop;
      f.free_moment += accuracy.cop * f.x;
    });
  }
}

void move_zero(Propagation& propagation, Foot foot, const FootInputs& inputs) {
  const auto move = [&](const std::function<void(FootForces&)>& mutate) {
    propagation.move(Source::zero, [&](Trial& trial) { mutate(trial.data.*foot); });
  };
  const auto constant = [&](const FootForces& f) {
    return Eigen::ArrayXd::Constant(f.size(), inputs.zero);
  };
  move([&](FootForces& f) { shift_x(f, constant(f), inputs.centre.y()); });
  move([&](FootForces& f) { shift_y(f, constant(f), inputs.centre.x()); });
  move([&](FootForces& f) { shift_z(f, 0.0, inputs.zero); });
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
    propagation.move(Source::clock, [&](Trial& t) {
      shift_back(t, inputs.back.clock);
      shift_lead(t, inputs.back.clock);
      t.data.release += inputs.release_by_back_clock * inputs.back.clock;
    });
    return;
  }
  propagation.move(Source::clock, [&](Trial& t) {
    shift_back(t, inputs.back.clock);
    t.data.release += inputs.release_by_back_clock * inputs.back.clock;
  });
  propagation.move(Source::clock, [&](Trial& t) {
    shift_lead(t, inputs.lead.clock);
    t.data.release += inputs.release_by_lead_clock * inputs.lead.clock;
  });
}

void move_put_events(Propagation& propagation, const EventTimes& put, const EventTimes& u) {
  for (std::size_t i = 0; i < event_count; ++i)
    if (std::isfinite(put[i]))
      propagation.move(Source::moved, [&](Trial& t) { t.moved[i] += u[i]; });
}

void add_noise(FootForces& foot, const FootInputs& inputs, const NoiseBank& bank,
               Eigen::Index stream) {
  const Eigen::Array<double, 1, 6>& noise = inputs.noise;
  const Eigen::Index n = foot.size();
  // A recording longer than the bank is noisier only where no event lies.
  const auto draw = [&](Eigen::Index k) { return bank.draw(stream + k, n); };
  const auto x = draw(0);
  const auto y = draw(1);
  const auto z = draw(2);
  const Eigen::Index used = x.white.size();
  // About the plate's centre: x of the centre of pressure comes from the moment about y over the
  // vertical force, and the reverse; the free moment is what the horizontal forces leave there.
  const Eigen::ArrayXd arm_x = foot.cop_x.head(used) - inputs.centre.x();
  const Eigen::ArrayXd arm_y = foot.cop_y.head(used) - inputs.centre.y();
  foot.free_moment.head(used) +=
      noise(5) * draw(5).smooth +
      arm_x.isNaN().select(0.0, arm_y * noise(0) * x.smooth - arm_x * noise(1) * y.smooth);
  foot.x.head(used) += noise(0) * x.smooth;
  foot.raw_x.head(used) += noise(0) * x.white;
  foot.y.head(used) += noise(1) * y.smooth;
  foot.z.head(used) += noise(2) * z.smooth;
  foot.contact_z.head(used) += noise(2) * z.light;
  foot.raw_z.head(used) += noise(2) * z.white;
  foot.cop_x.head(used) +=
      (noise(4) * draw(3).smooth - arm_x * noise(2) * z.smooth) / foot.z.head(used);
  foot.cop_y.head(used) +=
      (noise(3) * draw(4).smooth - arm_y * noise(2) * z.smooth) / foot.z.head(used);
  foot.noise *= std::numbers::sqrt2;  // as much again, independent
}

// The drive is slow and its top flat, so that the noise already in the trace shapes the top: noise
// added to it says too little where a bump stands out by chance and too much where bumps are level.
// A quarter of the cut-off keeps a drive of half a second and leaves half of the noise.
constexpr double calmer_drive = 0.25;

ThrowData with_calm_drive(const ThrowData& data, const Settings& settings) {
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
                const Settings& settings) {
  ThrowData calmer = with_calm_drive(twice, settings);
  calmer.back.contact_z = propagation.data().back.contact_z;
  calmer.lead.contact_z = propagation.data().lead.contact_z;
  Propagation calm(calmer, propagation.moved(), settings);
  const NoiseBank& bank = NoiseBank::for_step(twice.back.step, settings);
  constexpr Eigen::Index streams_per_foot = 6;
  for (Eigen::Index draw = 0; draw < noise_draws; ++draw)
    calm.move(
        Source::noise,
        [&](Trial& t) {
          add_noise(t.data.back, inputs.back, bank, 2 * draw * streams_per_foot);
          add_noise(t.data.lead, inputs.lead, bank, (2 * draw + 1) * streams_per_foot);
        },
        noise_share);
  propagation.take(Source::noise, calm);
}

// What a low-pass takes from a smooth signal it takes once more when it is applied again (Tukey's
// twicing), and a second time it meets little noise, which a wider filter would let in. The path
// of the centre of pressure filters for itself: of what lies well below the cut-off, twice takes
// as much as once with a cut-off lower by 2^(1/4), since the two passes have the response
// 1 / (1 + (f / f_0)^4). A low-pass errs to one side, so all of the change is taken.
void move_filter(Propagation& propagation, const ThrowData& twice, const Settings& settings) {
  Settings again = settings;
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
                      const Settings& settings) {
  // Where a person put the release is an input like any other release.
  EventTimes put = moved.times;
  at(put, Event::release) = none;
  const Span stretch = stretch_read(data, events, settings);
  const double release = at(events, Event::release);
  Propagation propagation(trimmed(data, stretch, release), put, settings);
  move_calibration(propagation, &ThrowData::back, inputs.back);
  move_calibration(propagation, &ThrowData::lead, inputs.lead);
  move_zero(propagation, &ThrowData::back, inputs.back);
  move_zero(propagation, &ThrowData::lead, inputs.lead);

  const ThrowData filtered_twice = trimmed(twice, stretch, release);
  move_noise(propagation, filtered_twice, inputs, settings);
  move_filter(propagation, filtered_twice, settings);

  // What a foot does below the force down to which it is followed is as unknown as what it does in
  // the next stretch above.
  Settings heavier = settings;
  heavier.least_turning_force *= 2.0;
  propagation.read_otherwise(Source::zero, heavier);

  if (data.heel && data.toe && inputs.foot_line > 0.0)
    for (const Eigen::Index axis : {0, 1}) {
      propagation.move(Source::foot_line,
                       [&](Trial& t) { (*t.data.heel)(axis) += inputs.foot_line; });
      propagation.move(Source::foot_line,
                       [&](Trial& t) { (*t.data.toe)(axis) += inputs.foot_line; });
    }
  propagation.move(Source::release, [&](Trial& t) { t.data.release += inputs.release; });
  move_clocks(propagation, inputs);
  move_put_events(propagation, put, moved.u);
  propagation.move(Source::body, [&](Trial& t) { t.data.mass += inputs.mass; });
  propagation.move(Source::body, [&](Trial& t) { t.data.height += inputs.height; });
  propagation.move(Source::ball, [&](Trial& t) { t.data.ball_speed += inputs.ball_speed; });

  Settings higher = settings;
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
