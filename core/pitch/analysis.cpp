// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/analysis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/units.h"
#include "core/pitch/ball_of_throw.h"
#include "core/pitch/events.h"
#include "core/pitch/flags.h"
#include "core/pitch/load_trace.h"
#include "core/pitch/quantities.h"
#include "core/pitch/throw_finder.h"
#include "core/pitch/window.h"
#include "core/pitch/zero.h"
#include "core/session/sample_clock.h"

namespace moundwork::pitch {
namespace {

// Streaming is most of a long session's time, the throws the rest.
constexpr double streaming_share = 0.8;

struct PlateOverview {
  const session::Plate* plate = nullptr;
  session::SampleClock clock;
  LoadTrace trace;  // tared after finding the zeros
  std::vector<UnloadedStretch> unloaded;
};

Result<const session::Plate*> plate_of(const session::Reader& reader, session::PlateRole role) {
  for (const session::Plate& plate : reader.session().plates)
    if (plate.role == role) return &plate;
  return fail(reader.path().string(),
              role == session::PlateRole::back ? "has no back plate" : "has no lead plate",
              "import it again and say which plate is which");
}

Result<session::SampleClock> clock_of(const session::Reader& reader, const session::Plate& plate) {
  const auto blocks = reader.blocks(plate.device);
  if (!blocks) return tl::make_unexpected(blocks.error());
  auto clock =
      session::SampleClock::make(reader.session().devices[static_cast<std::size_t>(plate.device)],
                                 *blocks, reader.sample_count(plate.device));
  if (!clock) return fail(reader.path().string(), clock.error().sentence());
  return clock;
}

// Accuracies of a recording that states none are common data-sheet figures.
session::PlateAccuracy accuracy_or_assumed(const session::PlateAccuracy& stated,
                                           const Settings& settings) {
  const auto either = [](double value, double assumed) {
    return std::isfinite(value) && value > 0.0 ? value : assumed;
  };
  return {either(stated.gain, settings.assumed_gain_u),
          either(stated.crosstalk, settings.assumed_crosstalk_u),
          either(stated.zero_force, settings.assumed_zero_u),
          either(stated.cop, settings.assumed_cop_u)};
}

class Analyser {
 public:
  Analyser(const session::Reader& reader, const Settings& settings, const Progress& progress)
      : reader_(reader), settings_(settings), progress_(progress) {}

  Result<Analysis> run();

 private:
  Result<PlateOverview> overview(session::PlateRole role);
  Result<void> trace(PlateOverview& overview, SessionTime begin, SessionTime end,
                     Eigen::Index before, Eigen::Index all);
  Result<PlateWindow> window_of(const PlateOverview& overview, double contact) const;
  Result<AnalysedThrow> measure(double contact, const Result<BallOfThrow>& ball) const;
  ThrowData throw_data(double contact, const FootForces& back, const FootForces& lead,
                       const BallOfThrow& ball) const;

  const session::Reader& reader_;
  const Settings& settings_;
  const Progress& progress_;
  std::optional<PlateOverview> back_, lead_;
};

Result<PlateOverview> Analyser::overview(session::PlateRole role) {
  const auto plate = plate_of(reader_, role);
  if (!plate) return tl::make_unexpected(plate.error());
  auto clock = clock_of(reader_, **plate);
  if (!clock) return tl::make_unexpected(clock.error());
  return PlateOverview{*plate, std::move(*clock), {}, {}};
}

Result<void> Analyser::trace(PlateOverview& overview, SessionTime begin, SessionTime end,
                             Eigen::Index before, Eigen::Index all) {
  auto traced =
      trace_load(reader_, *overview.plate, overview.clock, begin, end, [&](Eigen::Index done) {
        return !progress_ || progress_(streaming_share * static_cast<double>(before + done) /
                                       static_cast<double>(all));
      });
  if (!traced) return tl::make_unexpected(traced.error());
  overview.trace = std::move(*traced);
  overview.unloaded = unloaded_stretches(overview.trace, settings_);
  overview.trace.vertical = tared_vertical(overview.trace, overview.unloaded);
  return {};
}

Result<PlateWindow> Analyser::window_of(const PlateOverview& overview, double contact) const {
  const Span span{contact - settings_.window_before, contact + settings_.window_after};
  auto window = cut_window(reader_, *overview.plate, overview.clock, span,
                           nearest_stretch(overview.unloaded, contact - 0.5, contact), settings_);
  if (window) window->accuracy = accuracy_or_assumed(window->accuracy, settings_);
  return window;
}

ThrowData Analyser::throw_data(double contact, const FootForces& back, const FootForces& lead,
                               const BallOfThrow& ball) const {
  const session::Session& s = reader_.session();
  ThrowData data;
  data.back = back;
  data.lead = lead;
  data.coarse_contact = contact;
  data.mass = s.athlete.mass.value;
  data.height = s.athlete.height.value;
  data.toe_side = s.athlete.throws == session::Hand::right ? -1.0 : 1.0;
  if (s.foot_line) {
    data.heel = s.foot_line->heel.head<2>();
    data.toe = s.foot_line->toe.head<2>();
  }
  data.release = ball.release.time.value;
  data.ball_speed = ball.speed.value;
  data.quiet_end = find_quiet_end(back, contact, data.body_weight(), settings_);
  return data;
}

InputUncertainty inputs_of(const session::Session& s, const PlateWindow& back,
                           const PlateWindow& lead, const BallOfThrow& ball) {
  const auto or_nought = [](double u) { return std::isfinite(u) ? u : 0.0; };
  InputUncertainty inputs;
  const auto foot_inputs = [](const PlateWindow& window) {
    return FootInputs{window.accuracy, window.noise, window.zero_u, window.frame.centre.head<2>(),
                      window.clock_u};
  };
  inputs.back = foot_inputs(back);
  inputs.lead = foot_inputs(lead);
  inputs.mass = or_nought(s.athlete.mass.u);
  inputs.height = or_nought(s.athlete.height.u);
  inputs.foot_line = s.foot_line ? s.foot_line->u : 0.0;
  inputs.release = or_nought(ball.release.time.u);
  inputs.ball_speed = or_nought(ball.speed.u);
  return inputs;
}

// The time each foot's numbers are read from.
std::pair<Span, Span> used_spans(const EventTimes& events, const Settings& settings) {
  const double contact = at(events, Event::lead_contact);
  double begin = at(events, Event::back_leg_loaded);
  if (std::isnan(begin)) begin = at(events, Event::drive_start);
  if (std::isnan(begin)) begin = contact - settings.drive_search;
  double end = contact;
  for (const Event event : {Event::release, Event::braking_peak, Event::vertical_peak})
    if (at(events, event) > end) end = at(events, event);
  return {{begin, contact}, {contact, end}};
}

void throw_flags(const session::Session& s, const ThrowData& data, const EventTimes& events,
                 std::vector<session::ResultFlag>& flags) {
  if (!s.foot_line)
    flags.push_back({"no_foot_line",
                     "the foot's line is not known, so there is no heel-toe "
                     "position"});
  else if (s.foot_line->source == session::FootLineSource::foot_length)
    flags.push_back(
        {"estimated_foot_line", "heel and toe are set from the foot's length against the rubber"});
  if (std::isnan(data.quiet_end))
    flags.push_back({"no_quiet_set",
                     "the recording shows no quiet set before the throw, so there "
                     "is no body momentum"});
  const double loaded = at(events, Event::back_leg_loaded);
  if (!(loaded < at(events, Event::drive_start)))
    flags.push_back({"no_load_phase",
                     "the drive began before the back leg carried 0.9 BW, so "
                     "there are no means over load"});
}

Result<AnalysedThrow> Analyser::measure(double contact, const Result<BallOfThrow>& ball) const {
  const auto back = window_of(*back_, contact);
  if (!back) return tl::make_unexpected(back.error());
  const auto lead = window_of(*lead_, contact);
  if (!lead) return tl::make_unexpected(lead.error());
  if (!ball) return tl::make_unexpected(ball.error());

  const auto forces = [&](double cutoff) -> Result<ThrowData> {
    const auto back_forces = filter_forces(*back, cutoff, settings_);
    if (!back_forces) return tl::make_unexpected(back_forces.error());
    const auto lead_forces = filter_forces(*lead, cutoff, settings_);
    if (!lead_forces) return tl::make_unexpected(lead_forces.error());
    return throw_data(contact, *back_forces, *lead_forces, *ball);
  };
  const auto data = forces(settings_.low_pass);
  if (!data) return tl::make_unexpected(data.error());
  const auto wide = forces(wide_filter * settings_.low_pass);
  if (!wide) return tl::make_unexpected(wide.error());

  AnalysedThrow result;
  result.events = find_events(*data, settings_);
  result.quantities = compute_quantities(*data, result.events, settings_);
  result.release = ball->release;
  if (std::isnan(at(result.events, Event::lead_contact))) return result;
  result.uncertainty = propagate(*data, *wide, result.events,
                                 inputs_of(reader_.session(), *back, *lead, *ball), settings_);

  const auto [back_used, lead_used] = used_spans(result.events, settings_);
  blank_gaps(*back, *lead, back_used, lead_used, settings_, result.quantities);
  const auto add_all = [&](const std::vector<session::ResultFlag>& flags) {
    result.flags.insert(result.flags.end(), flags.begin(), flags.end());
  };
  const auto first_zero = [](const PlateOverview& overview, const PlateWindow& window) {
    return overview.unloaded.empty() ? window.zero(2) : overview.unloaded.front().vertical;
  };
  add_all(plate_flags(*back, data->back, "back", first_zero(*back_, *back), back_used, settings_));
  add_all(plate_flags(*lead, data->lead, "lead", first_zero(*lead_, *lead), lead_used, settings_));
  add_all(ball->flags);
  throw_flags(reader_.session(), *data, result.events, result.flags);
  return result;
}

Result<Analysis> Analyser::run() {
  auto back = overview(session::PlateRole::back);
  if (!back) return tl::make_unexpected(back.error());
  auto lead = overview(session::PlateRole::lead);
  if (!lead) return tl::make_unexpected(lead.error());
  back_ = std::move(*back);
  lead_ = std::move(*lead);
  const SessionTime begin = std::min(back_->clock.begin(), lead_->clock.begin());
  const SessionTime end = std::max(back_->clock.end(), lead_->clock.end());
  const Eigen::Index back_rows = reader_.sample_count(back_->plate->device);
  const Eigen::Index all = back_rows + reader_.sample_count(lead_->plate->device);
  if (auto done = trace(*back_, begin, end, 0, all); !done)
    return tl::make_unexpected(done.error());
  if (auto done = trace(*lead_, begin, end, back_rows, all); !done)
    return tl::make_unexpected(done.error());

  const double weight = reader_.session().athlete.mass.value * standard_gravity;
  const std::vector<double> contacts = find_throws(back_->trace, lead_->trace, weight, settings_);
  const auto witness = BallWitness::make(reader_, contacts, settings_);
  if (!witness) return tl::make_unexpected(witness.error());
  Analysis analysis;
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    auto measured = measure(contacts[i], witness->at(i));
    // One throw that cannot be read must not take the session's others with it; if none can, the
    // reason is the session's or the settings'.
    if (!measured && i + 1 == contacts.size() && analysis.throws.empty())
      return tl::make_unexpected(measured.error());
    if (!measured)
      analysis.remarks.push_back(
          {"throw_not_measured", fmt::format("a throw at {:.2f} s could not be measured: {}",
                                             contacts[i], measured.error().sentence())});
    else if (std::isnan(at(measured->events, Event::lead_contact)))
      analysis.remarks.push_back(
          {"contact_not_found", fmt::format("something like a throw at {:.2f} s has no clear lead "
                                            "contact and was left out",
                                            contacts[i])});
    else {
      measured->number = static_cast<int>(analysis.throws.size()) + 1;
      analysis.throws.push_back(std::move(*measured));
    }
    if (progress_ &&
        !progress_(streaming_share + (1.0 - streaming_share) * static_cast<double>(i + 1) /
                                         static_cast<double>(contacts.size())))
      return fail(reader_.path().string(), "the analysis was stopped", "nothing was written");
  }
  if (analysis.throws.size() != 1 && reader_.session().known_ball_speed)
    analysis.remarks.push_back(
        {"ball_speed_not_used", "one ball speed was given, but the recording holds not one throw"});
  return analysis;
}

}  // namespace

Measured AnalysedThrow::measured(Event event) const {
  return {at(events, event), uncertainty.u(event)};
}
Measured AnalysedThrow::measured(Quantity quantity) const {
  return {at(quantities, quantity), uncertainty.u(quantity)};
}

Result<Analysis> analyse(const session::Reader& reader, const Settings& settings,
                         const Progress& progress) {
  return Analyser(reader, settings, progress).run();
}

session::ResultSet to_results(const Analysis& analysis, const Settings& settings,
                              const std::string& made) {
  session::ResultSet results;
  results.made = made;
  results.software = "Moundwork " MOUNDWORK_VERSION;
  results.settings = nlohmann::json(settings).dump();
  for (const AnalysedThrow& thrown : analysis.throws) {
    session::ResultThrow row;
    row.number = thrown.number;
    row.contact = session_time(at(thrown.events, Event::lead_contact));
    const auto list = [&](auto name, std::vector<session::ResultValue>& values) {
      if (const Measured measured = thrown.measured(name); measured.known())
        values.push_back({std::string(entry(name).key), measured, std::string(entry(name).unit)});
    };
    for (std::size_t i = 0; i < event_count; ++i) list(static_cast<Event>(i), row.events);
    for (std::size_t i = 0; i < quantity_count; ++i) list(static_cast<Quantity>(i), row.quantities);
    row.flags = thrown.flags;
    results.throws.push_back(std::move(row));
  }
  return results;
}

}  // namespace moundwork::pitch
