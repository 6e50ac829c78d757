// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/unknown.h"
#include "core/pitch/input_moves.h"
#include "core/pitch/noise_moves.h"
#include "core/pitch/propagation.h"

namespace moundwork::pitch {
namespace {

double norm(const Contributions& parts) {
  double sum = 0.0;
  for (const double part : parts) sum += part * part;
  return std::sqrt(sum);
}

double shared_norm(Contributions parts) {
  for (const Source own : {Source::noise, Source::zero, Source::moved})
    parts.at(static_cast<std::size_t>(own)) = 0.0;
  return norm(parts);
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
double Uncertainty::shared_u(Event event) const {
  return shared_norm(events.at(static_cast<std::size_t>(event)));
}
double Uncertainty::shared_u(Quantity quantity) const {
  return shared_norm(quantities.at(static_cast<std::size_t>(quantity)));
}

Uncertainty propagate(const ThrowData& data, const ThrowData& twice, const EventTimes& events,
                      const MovedEvents& moved, const InputUncertainty& inputs,
                      const definitions::Settings& settings) {
  // Where a person put the release is an input like any other release.
  EventTimes put = moved.times;
  at(put, Event::release) = unknown;
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
  move_own_clocks(propagation, back_foot, inputs.back);
  move_own_clocks(propagation, lead_foot, inputs.lead);
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
