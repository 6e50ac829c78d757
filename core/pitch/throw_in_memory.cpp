// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/throw_in_memory.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/base/units.h"
#include "core/foot/foot_forces.h"
#include "core/pitch/events.h"
#include "core/pitch/flags.h"
#include "core/pitch/misplaced_feet.h"
#include "core/pitch/quantities.h"
#include "core/pitch/stuck_plates.h"
#include "core/session/flagged.h"

namespace moundwork::pitch {
namespace {

using definitions::Flag;
using session::flagged;

ThrowData throw_data(const session::Session& s, double coarse_contact, foot::FootForces back,
                     foot::FootForces lead, const ball::BallOfThrow& ball,
                     const definitions::Settings& settings) {
  ThrowData data;
  data.back = std::move(back);
  data.lead = std::move(lead);
  data.coarse_contact = coarse_contact;
  data.mass = s.athlete.mass.value;
  data.height = s.athlete.height.value;
  data.toe_side = s.athlete.throws == session::Hand::right ? -1.0 : 1.0;
  if (s.foot_line) {
    data.heel = s.foot_line->heel.head<2>();
    data.toe = s.foot_line->toe.head<2>();
  }
  data.release = ball.release.time.value;
  data.ball_speed = ball.speed.value;
  data.quiet_end = find_quiet_end(data.back, coarse_contact, data.body_weight(), settings);
  return data;
}

// Times that a throw's numbers are read from, whatever its events turn out to be; none where no
// quiet set bounds them.
std::optional<foot::TimeSpan> span_read(const foot::FootForces& standing, double coarse_contact,
                                        double body_weight, const ball::BallOfThrow& ball,
                                        const definitions::Settings& settings) {
  const double quiet = find_quiet_end(standing, coarse_contact, body_weight, settings);
  if (std::isnan(quiet)) return std::nullopt;
  constexpr double contact_error = 0.1;  // of the finder, s
  foot::TimeSpan span{std::min(quiet - settings.quiet_length,
                               coarse_contact - contact_error - settings.drive_search),
                      coarse_contact + contact_error + settings.after_contact};
  if (ball.release.time.value > span.end) span.end = ball.release.time.value;
  return span;
}

// With room for what an uncertainty reads more, and for the filters to run in: a filter's memory of
// an end fades by e every 1 / (2 pi 0.88 f) s (its poles' real part), so nothing is left of it.
foot::RowRange rows_of(const foot::PlateWindow& window, const foot::TimeSpan& span,
                       const definitions::Settings& settings) {
  const double room = 0.3 + 15.0 / settings.low_pass;
  // The quiet set is sought in steps from the first row on.
  const Eigen::Index hop = quiet_hop(window.step);
  const auto last = window.size() - 1;
  const auto first = std::clamp<Eigen::Index>(
      static_cast<Eigen::Index>(window.index(span.begin - room)) / hop * hop, 0, last);
  const auto end = std::clamp<Eigen::Index>(
      static_cast<Eigen::Index>(std::ceil(window.index(span.end + room))), first, last);
  return {first, end - first + 1};
}

// Share of a fused release that was stamped by a device's clock: its weight among the candidates.
double share_of_device(const ball::Release& release, int device) {
  double all = 0.0;
  double stamped = 0.0;
  for (const ball::ReleaseCandidate& candidate : release.candidates) {
    const double weight = 1.0 / (candidate.u * candidate.u);
    all += weight;
    if (candidate.device == device) stamped += weight;
  }
  return stamped > 0.0 ? stamped / all : 0.0;
}

Result<FootInputs> foot_inputs(const FootOfThrow& foot, foot::RowRange rows,
                               const definitions::Settings& settings) {
  const foot::PlateWindow& whole = foot.window.whole();
  FootInputs inputs{{}, whole.noise, whole.frame.centre.head<2>(), whole.clock_u};
  for (std::size_t i = 0; i < foot.plates.size(); ++i) {
    const foot::PlateWindow& window = foot.window.plates()[i];
    PlateInputs plate{window.accuracy,       window.zero_u,  window.frame.centre.head<2>(),
                      foot.plates[i].device, window.clock_u, {}};
    if (foot.plates.size() > 1) {
      auto share = foot::filter_share(window, rows, settings);
      if (!share) return tl::make_unexpected(share.error());
      plate.share = std::move(*share);
    }
    inputs.plates.push_back(std::move(plate));
  }
  return inputs;
}

InputUncertainty inputs_of(const session::Session& s, FootInputs back, int back_device,
                           FootInputs lead, int lead_device, const ball::BallOfThrow& ball) {
  const auto or_zero = [](double u) { return std::isfinite(u) ? u : 0.0; };
  InputUncertainty inputs;
  inputs.back = std::move(back);
  inputs.lead = std::move(lead);
  inputs.one_clock = back_device == lead_device;
  inputs.mass = or_zero(s.athlete.mass.u);
  inputs.height = or_zero(s.athlete.height.u);
  inputs.foot_line = s.foot_line ? s.foot_line->u : 0.0;
  inputs.release_by_back_clock = share_of_device(ball.release, back_device);
  inputs.release_by_lead_clock = share_of_device(ball.release, lead_device);
  // What the release shares with a plate's clock is counted there.
  const double own =
      std::pow(or_zero(ball.release.time.u), 2) -
      std::pow(inputs.release_by_back_clock * inputs.back.clock, 2) -
      (inputs.one_clock ? 0.0 : std::pow(inputs.release_by_lead_clock * inputs.lead.clock, 2));
  inputs.release = std::sqrt(std::max(0.0, own));
  inputs.ball_speed = or_zero(ball.speed.u);
  return inputs;
}

MeasuredSpans measured_spans(const EventTimes& events, double quiet_end,
                             const definitions::Settings& settings) {
  const double contact = at(events, Event::lead_contact);
  double begin = at(events, Event::back_leg_loaded);
  if (std::isnan(begin)) begin = at(events, Event::drive_start);
  if (std::isnan(begin)) begin = contact - settings.drive_search;
  double end = contact;
  for (const Event event : {Event::release, Event::braking_peak, Event::vertical_peak})
    if (at(events, event) > end) end = at(events, event);
  // Without a quiet set there is no momentum.
  const foot::TimeSpan summed =
      std::isnan(quiet_end) ? foot::TimeSpan{contact, contact} : foot::TimeSpan{quiet_end, end};
  return {{begin, contact}, {contact, end}, summed};
}

std::vector<session::ResultFlag> foot_line_flags(const session::Session& s) {
  if (!s.foot_line) return {flagged(Flag::no_foot_line)};
  if (s.foot_line->source == session::FootLineSource::foot_length)
    return {flagged(Flag::estimated_foot_line)};
  return {};
}

std::vector<session::ResultFlag> missing_phase_flags(const ThrowData& data,
                                                     const EventTimes& events,
                                                     const definitions::Settings& settings) {
  std::vector<session::ResultFlag> flags;
  if (std::isnan(data.quiet_end)) flags.push_back(flagged(Flag::no_quiet_set));
  const double loaded = at(events, Event::back_leg_loaded);
  if (!(loaded < at(events, Event::drive_start)))
    flags.push_back(
        flagged(Flag::no_load_phase, fmt::arg("level", settings.back_leg_loaded_level)));
  return flags;
}

// What doubts a release that a person's word has taken the place of.
bool doubts_found_release(const session::ResultFlag& flag) {
  const definitions::FlagEntry* entry = definitions::find_flag(flag.key);
  return entry != nullptr && entry->ends_with == Event::release;
}

session::ResultFlag about(const std::string& event, session::ResultFlag flag) {
  flag.target = event;
  return flag;
}

session::ResultFlag moved_flag(const session::MovedEvent& moved, double found) {
  const std::string who = moved.who.empty() ? "somebody" : moved.who;
  return about(moved.event, flagged(std::isfinite(found) ? Flag::moved_event : Flag::placed_event,
                                    fmt::arg("event", moved.event), fmt::arg("found", found),
                                    fmt::arg("time", moved.time), fmt::arg("who", who),
                                    fmt::arg("when", moved.when), fmt::arg("why", moved.why)));
}

}  // namespace

Measured AnalysedThrow::measured(Event event) const {
  return {at(events, event), uncertainty.u(event)};
}
Measured AnalysedThrow::measured(Quantity quantity) const {
  return {at(quantities, quantity), uncertainty.u(quantity)};
}

Result<ThrowInMemory> ThrowInMemory::make(const session::Session& session, PlatesOfThrow plates,
                                          double coarse_contact, ball::BallOfThrow ball,
                                          const definitions::Settings& settings, Extent extent) {
  const foot::PlateWindow& back = plates.back.window.whole();
  const foot::PlateWindow& lead = plates.lead.window.whole();
  foot::RowRange back_rows{0, back.size()};
  foot::RowRange lead_rows{0, lead.size()};
  if (extent == Extent::measured_part) {
    const auto standing = foot::filter_vertical(back, settings);
    if (!standing) return tl::make_unexpected(standing.error());
    const double weight = session.athlete.mass.value * standard_gravity;
    if (const auto span = span_read(*standing, coarse_contact, weight, ball, settings)) {
      back_rows = rows_of(back, *span, settings);
      lead_rows = rows_of(lead, *span, settings);
    }
  }
  auto back_forces = foot::filter_forces(back, back_rows, settings);
  if (!back_forces) return tl::make_unexpected(back_forces.error());
  auto lead_forces = foot::filter_forces(lead, lead_rows, settings);
  if (!lead_forces) return tl::make_unexpected(lead_forces.error());
  auto back_inputs = foot_inputs(plates.back, back_rows, settings);
  if (!back_inputs) return tl::make_unexpected(back_inputs.error());
  auto lead_inputs = foot_inputs(plates.lead, lead_rows, settings);
  if (!lead_inputs) return tl::make_unexpected(lead_inputs.error());

  ThrowInMemory thrown;
  thrown.settings_ = settings;
  thrown.data_ = throw_data(session, coarse_contact, std::move(back_forces->once),
                            std::move(lead_forces->once), ball, settings);
  thrown.twice_ = throw_data(session, coarse_contact, std::move(back_forces->twice),
                             std::move(lead_forces->twice), ball, settings);
  thrown.inputs_ = inputs_of(session, std::move(*back_inputs), plates.back.plates.front().device,
                             std::move(*lead_inputs), plates.lead.plates.front().device, ball);
  thrown.session_flags_ = foot_line_flags(session);
  thrown.ball_ = std::move(ball);
  thrown.found_ = find_events(thrown.data_, settings);
  // A drive that began before the quiet set is sought in all that was cut out.
  if (back_rows.count < back.size() && std::isnan(at(thrown.found_, Event::drive_start)))
    return make(session, std::move(plates), coarse_contact, std::move(thrown.ball_), settings,
                Extent::whole_window);
  thrown.plates_ = std::move(plates);
  return thrown;
}

double ThrowInMemory::contact() const {
  const double contact = at(found_, Event::lead_contact);
  return std::isnan(contact) ? data_.coarse_contact : contact;
}

MovedEvents ThrowInMemory::within_window(const MovedEvents& moved) const {
  const foot::PlateWindow& back = plates_.back.window.whole();
  const foot::PlateWindow& lead = plates_.lead.window.whole();
  return within(moved, std::max(back.start, lead.start), std::min(back.end(), lead.end()));
}

QuantityValues ThrowInMemory::values_at(const EventTimes& events) const {
  QuantityValues quantities = compute_quantities(data_, events, settings_);
  blank_gaps(plates_.back.window.whole(), plates_.lead.window.whole(),
             measured_spans(events, data_.quiet_end, settings_), settings_, quantities);
  blank_stuck(stuck_plates(plates_, measured_spans(events, data_.quiet_end, settings_)),
              quantities);
  blank_shared(feet_on_each_other(data_, events, plates_.lead.window.whole(), settings_),
               quantities);
  return quantities;
}

EventTimes ThrowInMemory::events(const MovedEvents& moved) const {
  return find_events(data_, settings_, within_window(moved).times);
}

QuantityValues ThrowInMemory::values(const MovedEvents& moved) const {
  return values_at(events(moved));
}

AnalysedThrow ThrowInMemory::measure(const MovedEvents& all_moved) const {
  const MovedEvents moved = within_window(all_moved);
  AnalysedThrow result;
  result.contact = contact();
  result.found = found_;
  result.events = find_events(data_, settings_, moved.times);
  result.quantities = values_at(result.events);
  result.release = ball_.release;
  InputUncertainty inputs = inputs_;
  const bool release_given = moved.moved(Event::release);
  if (release_given) {
    inputs.release = at(moved.u, Event::release);
    inputs.release_by_back_clock = inputs.release_by_lead_clock = 0.0;
    result.release.time = {at(moved.times, Event::release), inputs.release};
  }
  if (std::isnan(at(result.events, Event::lead_contact))) return result;
  result.uncertainty = propagate(data_, twice_, result.events, moved, inputs, settings_);

  const MeasuredSpans used = measured_spans(result.events, data_.quiet_end, settings_);
  const auto add_all = [&](const std::vector<session::ResultFlag>& flags) {
    for (const session::ResultFlag& flag : flags) {
      if (release_given && doubts_found_release(flag)) continue;
      // Plates on one device have its doubts in the same words.
      if (std::none_of(result.flags.begin(), result.flags.end(), [&](const auto& known) {
            return known.key == flag.key && known.detail == flag.detail;
          }))
        result.flags.push_back(flag);
    }
  };
  const auto add_foot = [&](const FootOfThrow& foot, const foot::FootForces& forces,
                            session::PlateRole role, const foot::TimeSpan& span) {
    for (std::size_t i = 0; i < foot.plates.size(); ++i)
      add_all(plate_flags(foot.window.plates()[i], foot.plates[i].ordinal,
                          foot.plates[i].first_zero, span, used.summed, settings_));
    add_all(load_flags(foot.window, forces, role, span, used.summed, settings_));
  };
  add_foot(plates_.back, data_.back, session::PlateRole::back, used.back);
  add_foot(plates_.lead, data_.lead, session::PlateRole::lead, used.lead);
  add_all(stuck_flags(stuck_plates(plates_, used)));
  add_all(other_plate_flags(plates_, data_, result.events));
  add_all(shared_plate_flags(
      feet_on_each_other(data_, result.events, plates_.lead.window.whole(), settings_)));
  add_all(ball_.flags);
  add_all(session_flags_);
  add_all(missing_phase_flags(data_, result.events, settings_));
  // Events are found in order; only a person can put them otherwise.
  if (at(result.events, Event::release) < at(result.events, Event::lead_contact))
    result.flags.push_back(flagged(Flag::events_out_of_order));
  return result;
}

AnalysedThrow ThrowInMemory::measure(const session::EditState& edits) const {
  const MovedEvents asked = moved_events(edits, settings_);
  AnalysedThrow result = measure(asked);
  result.excluded = edits.excluded;
  result.tags = edits.tags;
  const MovedEvents kept = within_window(asked);
  for (const session::MovedEvent& moved : edits.moved) {
    const auto event = find_event(moved.event);
    if (event && kept.moved(*event))
      result.flags.push_back(moved_flag(moved, at(found_, *event)));
    else
      result.flags.push_back(
          about(moved.event, flagged(Flag::move_not_used, fmt::arg("event", moved.event),
                                     fmt::arg("time", moved.time), fmt::arg("who", moved.who))));
  }
  return result;
}

}  // namespace moundwork::pitch
