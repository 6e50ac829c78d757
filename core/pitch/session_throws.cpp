// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/session_throws.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <future>
#include <mutex>
#include <utility>

#include "core/ball/ball_of_throw.h"
#include "core/base/units.h"
#include "core/foot/load_trace.h"
#include "core/foot/recorded_parts.h"
#include "core/foot/session_plate.h"
#include "core/pitch/throw_finder.h"
#include "core/session/flagged.h"

namespace moundwork::pitch {
namespace {

struct PlateOverview : foot::SessionPlate {
  foot::LoadTrace trace;  // tared after finding the zeros
};

Result<PlateOverview> overview_of(const session::RowSource& reader, session::PlateRole role) {
  auto plate = foot::plate_of(reader, role);
  if (!plate) return tl::make_unexpected(plate.error());
  return PlateOverview{std::move(*plate), {}};
}

double body_weight(const session::Session& session) {
  return session.athlete.mass.value * standard_gravity;
}

// Accuracies of a recording that states none are common data-sheet figures.
session::PlateAccuracy accuracy_or_assumed(const session::PlateAccuracy& stated,
                                           const definitions::Settings& settings) {
  const auto either = [](double value, double assumed) {
    return std::isfinite(value) && value > 0.0 ? value : assumed;
  };
  return {either(stated.gain, settings.assumed_gain_u),
          either(stated.crosstalk, settings.assumed_crosstalk_u),
          either(stated.zero_force, settings.assumed_zero_u),
          either(stated.cop, settings.assumed_cop_u)};
}

}  // namespace

struct SessionThrows::Impl {
  const session::RowSource& reader;
  definitions::Settings settings;
  PlateOverview back, lead;
  std::vector<double> contacts;
  std::optional<HeaviestStand> heaviest;
  double greatest = 0.0;  // N
  std::optional<ball::BallWitness> witness;

  Result<void> find_in(const foot::RecordedPart& part, const Progress& progress);
  Result<void> trace_both(const foot::RecordedPart& part, const Progress& progress);
  void weigh(const PlateOverview& overview);
  Result<void> trace(PlateOverview& overview, SessionTime begin, SessionTime end,
                     const Progress& progress) const;
  [[nodiscard]] Result<PlateOfThrow> plate_at(const PlateOverview& overview, double contact) const;
};

Result<void> SessionThrows::Impl::trace(PlateOverview& overview, SessionTime begin, SessionTime end,
                                        const Progress& progress) const {
  auto traced = foot::trace_load(reader, *overview.plate, overview.clock, begin, end, progress);
  if (!traced) return tl::make_unexpected(traced.error());
  overview.trace = std::move(*traced);
  const auto unloaded = foot::unloaded_stretches(overview.trace, settings);
  overview.trace.vertical = foot::tared_vertical(overview.trace, unloaded);
  overview.unloaded.insert(overview.unloaded.end(), unloaded.begin(), unloaded.end());
  return {};
}

Result<void> SessionThrows::Impl::trace_both(const foot::RecordedPart& part,
                                             const Progress& progress) {
  const auto rows = [&](const PlateOverview& overview) {
    return static_cast<double>(reader.sample_count(overview.plate->device));
  };
  const double all = rows(back) + rows(lead);
  std::mutex reporting;
  double done = 0.0;
  bool wanted = true;
  const auto report = [&](double more) {
    const std::lock_guard lock(reporting);
    done += more;
    wanted = wanted && goes_on(progress, done);
    return wanted;
  };
  const auto trace_one = [&](PlateOverview& overview) {
    return trace(overview, part.begin, part.end,
                 [&, share = rows(overview) / all, before = 0.0](double now) mutable {
                   return report(share * (now - std::exchange(before, now)));
                 });
  };
  auto other = std::async(std::launch::async, [&] { return trace_one(lead); });
  const auto traced = trace_one(back);
  const auto other_traced = other.get();
  return traced ? other_traced : traced;
}

void SessionThrows::Impl::weigh(const PlateOverview& overview) {
  const auto steady = foot::heaviest_steady(overview.trace, settings.heavy_stand_length,
                                            settings.heavy_stand_range);
  if (steady && (!heaviest || steady->force > heaviest->load.force))
    heaviest = HeaviestStand{overview.plate->role, *steady};
  for (const float vertical : overview.trace.vertical)
    if (static_cast<double>(vertical) > greatest) greatest = static_cast<double>(vertical);
}

Result<void> SessionThrows::Impl::find_in(const foot::RecordedPart& part,
                                          const Progress& progress) {
  if (auto traced = trace_both(part, progress); !traced) return traced;
  const auto found = find_throws(back.trace, lead.trace, body_weight(reader.session()), settings);
  contacts.insert(contacts.end(), found.begin(), found.end());
  weigh(back);
  weigh(lead);
  back.trace = lead.trace = {};  // as long as the part, and done with
  return {};
}

Result<PlateOfThrow> SessionThrows::Impl::plate_at(const PlateOverview& overview,
                                                   double contact) const {
  auto window = foot::window_around(reader, overview, contact, settings);
  if (!window) return tl::make_unexpected(window.error());
  window->accuracy = accuracy_or_assumed(window->accuracy, settings);
  const double first_zero =
      overview.unloaded.empty() ? window->zero(2) : overview.unloaded.front().vertical;
  return PlateOfThrow{overview.plate->device, std::move(*window), first_zero};
}

SessionThrows::SessionThrows(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
SessionThrows::SessionThrows(SessionThrows&&) noexcept = default;
SessionThrows& SessionThrows::operator=(SessionThrows&&) noexcept = default;
SessionThrows::~SessionThrows() = default;

Result<SessionThrows> SessionThrows::find(const session::RowSource& reader,
                                          const definitions::Settings& settings,
                                          const Progress& progress) {
  // The plates are gone through at the same time: while one is in the file the other computes.
  auto other =
      std::async(std::launch::async, [&] { return overview_of(reader, session::PlateRole::lead); });
  auto back = overview_of(reader, session::PlateRole::back);
  auto lead = other.get();
  if (!back) return tl::make_unexpected(back.error());
  if (!lead) return tl::make_unexpected(lead.error());
  const auto parts = foot::recorded_parts(back->clock, lead->clock, reader.name());
  if (!parts) return tl::make_unexpected(parts.error());
  auto impl = std::unique_ptr<Impl>(new Impl{
      reader, settings, std::move(*back), std::move(*lead), {}, std::nullopt, 0.0, std::nullopt});
  for (std::size_t i = 0; i < parts->size(); ++i) {
    const auto share = [&](std::size_t done) {
      return static_cast<double>(done) / static_cast<double>(parts->size());
    };
    if (auto found = impl->find_in((*parts)[i], piece_of(progress, share(i), share(i + 1))); !found)
      return tl::make_unexpected(found.error());
  }
  auto witness = ball::BallWitness::make(reader, impl->contacts, settings);
  if (!witness) return tl::make_unexpected(witness.error());
  impl->witness = std::move(*witness);
  return SessionThrows(std::move(impl));
}

const std::vector<double>& SessionThrows::contacts() const { return impl_->contacts; }

const std::optional<HeaviestStand>& SessionThrows::heaviest() const { return impl_->heaviest; }
double SessionThrows::greatest_load() const { return impl_->greatest; }

std::optional<session::ResultFlag> SessionThrows::doubt_of_mass() const {
  const session::Session& session = impl_->reader.session();
  const auto& heaviest = impl_->heaviest;
  if (!heaviest || !(heaviest->load.force > impl_->settings.heavy_stand * body_weight(session)))
    return std::nullopt;
  return session::flagged(
      definitions::Flag::heavier_than_stated,
      fmt::arg("plate", heaviest->plate == session::PlateRole::back ? "back" : "lead"),
      fmt::arg("carried", heaviest->load.force / standard_gravity),
      fmt::arg("time", heaviest->load.time), fmt::arg("stated", session.athlete.mass.value));
}

Result<ThrowInMemory> SessionThrows::take(std::size_t thrown, Extent extent) const {
  const double contact = impl_->contacts.at(thrown);
  auto back = impl_->plate_at(impl_->back, contact);
  if (!back) return tl::make_unexpected(back.error());
  auto lead = impl_->plate_at(impl_->lead, contact);
  if (!lead) return tl::make_unexpected(lead.error());
  auto ball = impl_->witness->at(thrown);
  if (!ball) return tl::make_unexpected(ball.error());
  auto taken = ThrowInMemory::make(impl_->reader.session(), std::move(*back), std::move(*lead),
                                   contact, std::move(*ball), impl_->settings, extent);
  if (const auto doubt = doubt_of_mass(); doubt && taken) taken->doubt(*doubt);
  return taken;
}

Result<ThrowInMemory> take_throw(const session::RowSource& reader,
                                 const definitions::Settings& settings, double contact) {
  const auto throws = SessionThrows::find(reader, settings);
  if (!throws) return tl::make_unexpected(throws.error());
  for (std::size_t i = 0; i < throws->contacts().size(); ++i)
    if (std::abs(throws->contacts()[i] - contact) <= session::same_throw) return throws->take(i);
  return fail(reader.name(), fmt::format("has no throw with lead contact at {:.2f} s", contact));
}

}  // namespace moundwork::pitch
