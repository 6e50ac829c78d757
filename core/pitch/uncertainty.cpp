// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/uncertainty.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/pitch/events.h"
#include "core/pitch/noise_bank.h"
#include "core/pitch/quantities.h"

namespace moundwork::pitch {
namespace {

// Twelve draws know a standard deviation to a fifth, and noise is seldom the largest part.
constexpr int noise_draws = 12;

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
  part.cop_x = foot.cop_x.segment(first, count);
  part.cop_y = foot.cop_y.segment(first, count);
  part.free_moment = foot.free_moment.segment(first, count);
  return part;
}

// The stretch that events and quantities read, so that measuring again is cheap.
ThrowData trimmed(const ThrowData& data, const EventTimes& events, const Settings& settings) {
  const double contact = at(events, Event::lead_contact);
  double from = contact - settings.drive_search;
  for (const double time :
       {data.quiet_end, at(events, Event::back_leg_loaded), at(events, Event::drive_start)})
    if (time < from) from = time;
  // Room for the filters' last samples and for events that move.
  constexpr double room = 0.1;
  const double to = std::max(contact + settings.after_contact,
                             std::isnan(data.release) ? contact : data.release) +
                    2.0 * room;
  ThrowData part = data;
  part.back = trimmed(data.back, from - room, to);
  part.lead = trimmed(data.lead, from - room, to);
  return part;
}

class Propagation {
 public:
  Propagation(const ThrowData& base, const Settings& settings)
      : base_(base), work_(base), settings_(settings) {
    events_ = find_events(base_, settings_);
    quantities_ = compute_quantities(base_, events_, settings_);
  }

  // Moves an input, measures again and puts the square of what changed, over `share`, to `source`.
  void move(Source source, const std::function<void(ThrowData&)>& mutate, double share = 1.0) {
    mutate(work_);
    add(source, work_, settings_, share);
    restore();
  }

  void add(Source source, const ThrowData& changed, const Settings& settings, double share) {
    const EventTimes events = find_events(changed, settings);
    const QuantityValues quantities = compute_quantities(changed, events, settings);
    const auto column = static_cast<std::size_t>(source);
    for (std::size_t i = 0; i < event_count; ++i)
      gather(result_.events[i][column], events[i] - events_[i], share);
    for (std::size_t i = 0; i < quantity_count; ++i)
      gather(result_.quantities[i][column], quantities[i] - quantities_[i], share);
  }

  void thresholds(const Settings& moved) {
    const EventTimes events = find_events(base_, moved);
    const QuantityValues quantities = compute_quantities(base_, events, moved);
    for (std::size_t i = 0; i < event_count; ++i)
      result_.event_thresholds[i] = events[i] - events_[i];
    for (std::size_t i = 0; i < quantity_count; ++i)
      result_.quantity_thresholds[i] = quantities[i] - quantities_[i];
  }

  [[nodiscard]] Uncertainty result() const {
    Uncertainty roots = result_;
    for (auto& parts : roots.events)
      for (double& part : parts) part = std::sqrt(part);
    for (auto& parts : roots.quantities)
      for (double& part : parts) part = std::sqrt(part);
    return roots;
  }

 private:
  static void gather(double& variance, double change, double share) {
    // A number that the move makes unmeasurable tells nothing of its spread.
    if (std::isfinite(change)) variance += share * change * change;
  }

  // Assigning arrays of the same size copies without allocating.
  void restore() { work_ = base_; }

  ThrowData base_, work_;
  const Settings& settings_;
  EventTimes events_{};
  QuantityValues quantities_{};
  Uncertainty result_;
};

using Foot = FootForces ThrowData::*;

void move_calibration(Propagation& propagation, Foot foot, const session::PlateAccuracy& accuracy) {
  const double gain = 1.0 + accuracy.gain;
  const auto move = [&](const std::function<void(FootForces&)>& mutate) {
    propagation.move(Source::calibration, [&](ThrowData& data) { mutate(data.*foot); });
  };
  if (accuracy.gain > 0.0) {
    move([&](FootForces& f) { f.x *= gain; });
    move([&](FootForces& f) { f.y *= gain; });
    move([&](FootForces& f) {
      f.z *= gain;
      f.contact_z *= gain;
    });
    move([&](FootForces& f) { f.free_moment *= gain; });
  }
  if (accuracy.crosstalk > 0.0) {
    move([&](FootForces& f) { f.x += accuracy.crosstalk * f.z; });
    move([&](FootForces& f) { f.y += accuracy.crosstalk * f.z; });
  }
  if (accuracy.cop > 0.0) {
    move([&](FootForces& f) { f.cop_x += accuracy.cop; });
    move([&](FootForces& f) { f.cop_y += accuracy.cop; });
  }
}

void move_zero(Propagation& propagation, Foot foot, double zero) {
  propagation.move(Source::zero, [&](ThrowData& data) { (data.*foot).x += zero; });
  propagation.move(Source::zero, [&](ThrowData& data) { (data.*foot).y += zero; });
  propagation.move(Source::zero, [&](ThrowData& data) {
    (data.*foot).z += zero;
    (data.*foot).contact_z += zero;
  });
}

void add_noise(FootForces& foot, const Eigen::Array<double, 1, 6>& noise, const NoiseBank& bank,
               Eigen::Index stream) {
  const Eigen::Index n = foot.size();
  // A recording longer than the bank is noisier only where no event lies.
  const auto smooth = [&](Eigen::Index k) { return bank.draw(stream + k, n).first; };
  const Eigen::Index used = smooth(0).size();
  foot.x.head(used) += noise(0) * smooth(0);
  foot.y.head(used) += noise(1) * smooth(1);
  foot.z.head(used) += noise(2) * smooth(2);
  foot.contact_z.head(used) += noise(2) * bank.draw(stream + 2, n).second;
  // x of the centre of pressure comes from the moment about y, and the reverse.
  foot.cop_x.head(used) += noise(4) * smooth(3) / foot.z.head(used);
  foot.cop_y.head(used) += noise(3) * smooth(4) / foot.z.head(used);
  foot.free_moment.head(used) += noise(5) * smooth(5);
}

}  // namespace

std::string_view name_of(Source source) {
  constexpr std::array<std::string_view, source_count> names{
      "calibration", "zero", "noise", "filter", "foot_line", "release", "clock", "body", "ball"};
  return names.at(static_cast<std::size_t>(source));
}

double Uncertainty::u(Event event) const {
  return norm(events.at(static_cast<std::size_t>(event)));
}
double Uncertainty::u(Quantity quantity) const {
  return norm(quantities.at(static_cast<std::size_t>(quantity)));
}

Uncertainty propagate(const ThrowData& data, const ThrowData& wide, const EventTimes& events,
                      const InputUncertainty& inputs, const Settings& settings) {
  Propagation propagation(trimmed(data, events, settings), settings);
  move_calibration(propagation, &ThrowData::back, inputs.back.accuracy);
  move_calibration(propagation, &ThrowData::lead, inputs.lead.accuracy);
  move_zero(propagation, &ThrowData::back, inputs.back.zero);
  move_zero(propagation, &ThrowData::lead, inputs.lead.zero);

  const NoiseBank& bank = NoiseBank::for_step(data.back.step, settings);
  constexpr Eigen::Index streams_per_foot = 6;
  for (Eigen::Index draw = 0; draw < noise_draws; ++draw)
    propagation.move(
        Source::noise,
        [&](ThrowData& d) {
          add_noise(d.back, inputs.back.noise, bank, 2 * draw * streams_per_foot);
          add_noise(d.lead, inputs.lead.noise, bank, (2 * draw + 1) * streams_per_foot);
        },
        1.0 / noise_draws);

  // Half-width of a rectangular distribution: what the wider filter still changes.
  propagation.add(Source::filter, trimmed(wide, events, settings), settings, 1.0 / 3.0);

  if (data.heel && data.toe && inputs.foot_line > 0.0)
    for (const Eigen::Index axis : {0, 1}) {
      propagation.move(Source::foot_line,
                       [&](ThrowData& d) { (*d.heel)(axis) += inputs.foot_line; });
      propagation.move(Source::foot_line,
                       [&](ThrowData& d) { (*d.toe)(axis) += inputs.foot_line; });
    }
  propagation.move(Source::release, [&](ThrowData& d) { d.release += inputs.release; });
  propagation.move(Source::clock, [&](ThrowData& d) { d.back.start += inputs.back.clock; });
  propagation.move(Source::clock, [&](ThrowData& d) {
    d.lead.start += inputs.lead.clock;
    d.coarse_contact += inputs.lead.clock;
  });
  propagation.move(Source::body, [&](ThrowData& d) { d.mass += inputs.mass; });
  propagation.move(Source::body, [&](ThrowData& d) { d.height += inputs.height; });
  propagation.move(Source::ball, [&](ThrowData& d) { d.ball_speed += inputs.ball_speed; });

  Settings moved = settings;
  constexpr double more = 1.2;
  moved.contact_level *= more;
  moved.foot_off_level *= more;
  moved.drive_start_level *= more;
  // A fifth more than 0.9 BW is more than anybody weighs standing still.
  moved.back_leg_loaded_level *= 1.0 + 0.1 * (more - 1.0);
  propagation.thresholds(moved);
  return propagation.result();
}

}  // namespace moundwork::pitch
