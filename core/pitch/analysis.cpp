// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/analysis.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <future>
#include <mutex>
#include <nlohmann/json.hpp>
#include <optional>
#include <thread>

#include "core/base/progress.h"
#include "core/base/units.h"
#include "core/session/edit_state.h"
#include "core/session/flagged.h"

namespace moundwork::pitch {
namespace {

using definitions::Flag;
using session::flagged;

// Streaming is most of a long session's time, the throws the rest.
constexpr double streaming_share = 0.8;

Result<AnalysedThrow> measured(const SessionThrows& throws, std::size_t index,
                               const std::vector<session::Edit>& edits) {
  auto thrown = throws.take(index, Extent::measured_part);
  if (!thrown) return tl::make_unexpected(thrown.error());
  const session::EditState state = session::state_of(edits, thrown->contact());
  // A person may have put an event anywhere in the window.
  if (!state.moved.empty()) thrown = throws.take(index);
  if (!thrown) return tl::make_unexpected(thrown.error());
  return thrown->measure(state);
}

// Several throws at once, since measuring takes far longer than reading. In order of time; nothing
// when `progress` said stop.
std::optional<std::vector<Result<AnalysedThrow>>> measure_all(
    const SessionThrows& throws, const std::vector<session::Edit>& edits,
    const Progress& progress) {
  const std::size_t count = throws.contacts().size();
  std::vector<Result<AnalysedThrow>> all(count);
  std::atomic<std::size_t> next = 0;
  std::atomic<bool> wanted = true;
  std::mutex reporting;
  std::size_t done = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < count && wanted; i = next++) {
      all[i] = measured(throws, i, edits);
      const std::lock_guard lock(reporting);
      ++done;
      wanted = wanted && goes_on(progress, static_cast<double>(done) / static_cast<double>(count));
    }
  };
  std::vector<std::future<void>> workers;
  const std::size_t most = std::max(1U, std::thread::hardware_concurrency());
  for (std::size_t i = 0; i < std::min(most, count); ++i)
    workers.push_back(std::async(std::launch::async, work));
  for (auto& worker : workers) worker.get();
  if (!wanted) return std::nullopt;
  return all;
}

// Why there is none, where the athlete's mass may be why.
session::ResultFlag no_throw_remark(const SessionThrows& throws, const session::Session& session) {
  // On one leg everybody carries nearly all of the weight; this much less is another weight.
  constexpr double least_on_one_leg = 0.9;
  // Whoever only stood there, or walked over the plates, threw nothing at any mass: a landing is
  // a quarter of a body weight and more above what a leg carries at rest even in means over a bin,
  // a step a fifth.
  constexpr double least_landing = 1.25;
  constexpr double least_person = 150.0;  // N
  const auto& heaviest = throws.heaviest();
  const double force = heaviest ? heaviest->load.force : 0.0;
  const double carried = force / standard_gravity;
  const double stated = session.athlete.mass.value;
  // With a foot on two feet's plates no plate has to carry the weight.
  if (!throws.shared_landings().empty() || force < least_person ||
      carried >= least_on_one_leg * stated || throws.greatest_load() < least_landing * force)
    return flagged(Flag::no_throw_found);
  return flagged(Flag::no_throw_for_mass, fmt::arg("carried", carried),
                 fmt::arg("time", heaviest->load.time), fmt::arg("stated", stated));
}

}  // namespace

Result<Analysis> analyse(const session::RowSource& reader, const definitions::Settings& settings,
                         const Progress& progress) {
  const auto edits = reader.edits();
  if (!edits) return tl::make_unexpected(edits.error());
  const auto throws =
      SessionThrows::find(reader, settings, piece_of(progress, 0.0, streaming_share));
  if (!throws) return tl::make_unexpected(throws.error());
  const std::vector<double>& contacts = throws->contacts();
  Analysis analysis;
  analysis.edits_known = edits->size();
  auto all = measure_all(*throws, *edits, piece_of(progress, streaming_share, 1.0));
  if (!all) return stopped(reader.name());
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    auto& thrown = (*all)[i];
    // One throw that cannot be read must not take the session's others with it; if none can, the
    // reason is the session's or the settings'.
    if (!thrown && i + 1 == contacts.size() && analysis.throws.empty())
      return tl::make_unexpected(thrown.error());
    if (!thrown)
      analysis.remarks.push_back(flagged(Flag::throw_not_measured, fmt::arg("time", contacts[i]),
                                         fmt::arg("why", thrown.error().sentence())));
    else if (std::isnan(at(thrown->events, Event::lead_contact)))
      analysis.remarks.push_back(flagged(Flag::contact_not_found, fmt::arg("time", contacts[i])));
    else {
      thrown->number = static_cast<int>(analysis.throws.size()) + 1;
      analysis.throws.push_back(std::move(*thrown));
    }
  }
  for (const SharedLanding& landing : throws->shared_landings())
    analysis.remarks.push_back(flagged(
        landing.on == session::PlateRole::lead ? Flag::landed_on_loaded_lead_plate
                                               : Flag::landed_on_back_plate,
        fmt::arg("time", landing.time), fmt::arg("carried", landing.carried / standard_gravity)));
  if (contacts.empty()) analysis.remarks.push_back(no_throw_remark(*throws, reader.session()));
  if (contacts.empty())
    if (const auto doubt = throws->doubt_of_mass()) analysis.remarks.push_back(*doubt);
  if (analysis.throws.size() != 1 && reader.session().known_ball_speed)
    analysis.remarks.push_back(flagged(Flag::ball_speed_not_used));
  return analysis;
}

session::ResultSet to_results(const Analysis& analysis, const definitions::Settings& settings,
                              const std::string& made) {
  session::ResultSet results;
  results.made = made;
  results.software = "Moundwork " MOUNDWORK_VERSION;
  results.settings = nlohmann::json(settings).dump();
  results.edits_known = analysis.edits_known;
  for (const AnalysedThrow& thrown : analysis.throws) {
    session::ResultThrow row;
    row.number = thrown.number;
    row.contact = session_time(thrown.contact);
    const auto list = [&](auto name, std::vector<session::ResultValue>& values) {
      if (const Measured measured = thrown.measured(name); measured.known())
        values.push_back({std::string(entry(name).key), measured, std::string(entry(name).unit),
                          thrown.uncertainty.shared_u(name)});
    };
    for (std::size_t i = 0; i < event_count; ++i) list(static_cast<Event>(i), row.events);
    for (std::size_t i = 0; i < quantity_count; ++i) list(static_cast<Quantity>(i), row.quantities);
    row.flags = thrown.flags;
    results.throws.push_back(std::move(row));
  }
  return results;
}

}  // namespace moundwork::pitch
