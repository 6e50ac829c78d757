// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/pitch/session_throws.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <future>
#include <map>
#include <mutex>
#include <utility>

#include "core/ball/ball_of_throw.h"
#include "core/base/units.h"
#include "core/foot/load_trace.h"
#include "core/foot/recorded_parts.h"
#include "core/foot/session_plate.h"
#include "core/pitch/throw_finder.h"
#include "core/session/flagged.h"
#include "core/session/plate_name.h"

namespace moundwork::pitch {
namespace {

// The plates under one foot, and what all of them carried.
struct FootOverview {
  session::PlateRole role = session::PlateRole::back;
  std::vector<foot::SessionPlate> plates;
  foot::LoadTrace trace;  // tared, of all of them

  [[nodiscard]] double rows(const session::RowSource& reader) const {
    double all = 0.0;
    for (const auto& plate : plates)
      all += static_cast<double>(reader.sample_count(plate.plate->device));
    return all;
  }
};

Result<FootOverview> overview_of(const session::RowSource& reader, session::PlateRole role) {
  auto plates = foot::plates_of(reader, role);
  if (!plates) return tl::make_unexpected(plates.error());
  return FootOverview{role, std::move(*plates), {}};
}

// What a foot's plates carried, by those that recorded: a throw is found though one of them lost
// samples, and what is read from those is left out of it (flags.h).
void add_known(Eigen::ArrayXf& sum, const Eigen::ArrayXf& more) {
  sum = sum.isNaN().select(more, sum + more.isNaN().select(0.0F, more));
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
  FootOverview back, lead;
  std::vector<foot::SessionPlate> others;
  std::vector<double> contacts;
  std::vector<SharedLanding> shared;
  std::optional<HeaviestStand> heaviest;
  double greatest = 0.0;  // N
  std::optional<ball::BallWitness> witness;

  Result<void> find_in(const foot::RecordedPart& part, const Progress& progress);
  Result<void> trace_both(const foot::RecordedPart& part, const Progress& progress);
  void weigh(const FootOverview& overview);
  Result<void> trace(FootOverview& overview, const foot::RecordedPart& part,
                     const Progress& progress) const;
  /// Of plates on one device.
  Result<std::vector<foot::LoadTrace>> trace(const std::vector<foot::SessionPlate*>& plates,
                                             const foot::RecordedPart& part,
                                             const Progress& progress) const;
  [[nodiscard]] Result<foot::PlateWindow> window_of(const foot::SessionPlate& plate,
                                                    double contact) const;
  [[nodiscard]] Result<FootOfThrow> foot_at(const FootOverview& overview, double contact) const;
  [[nodiscard]] Result<PlatesOfThrow> plates_at(double contact) const;
};

Result<std::vector<foot::LoadTrace>> SessionThrows::Impl::trace(
    const std::vector<foot::SessionPlate*>& plates, const foot::RecordedPart& part,
    const Progress& progress) const {
  std::vector<const session::Plate*> described;
  for (const foot::SessionPlate* plate : plates) described.push_back(plate->plate);
  auto traces =
      foot::trace_loads(reader, described, plates.front()->clock, part.begin, part.end, progress);
  if (!traces) return traces;
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const auto unloaded = foot::unloaded_stretches((*traces)[i], settings);
    (*traces)[i].vertical = foot::tared_vertical((*traces)[i], unloaded);
    plates[i]->unloaded.insert(plates[i]->unloaded.end(), unloaded.begin(), unloaded.end());
  }
  return traces;
}

Result<void> SessionThrows::Impl::trace(FootOverview& overview, const foot::RecordedPart& part,
                                        const Progress& progress) const {
  const double all = overview.rows(reader);
  double done = 0.0;
  // A device is read once for all of its plates.
  std::map<int, std::vector<foot::SessionPlate*>> by_device;
  for (foot::SessionPlate& plate : overview.plates)
    by_device[plate.plate->device].push_back(&plate);
  std::map<const foot::SessionPlate*, foot::LoadTrace> traced;
  for (const auto& [device, plates] : by_device) {
    const double own =
        static_cast<double>(plates.size()) * static_cast<double>(reader.sample_count(device));
    auto traces = trace(plates, part, piece_of(progress, done / all, (done + own) / all));
    if (!traces) return tl::make_unexpected(traces.error());
    done += own;
    for (std::size_t i = 0; i < plates.size(); ++i)
      traced.emplace(plates[i], std::move((*traces)[i]));
  }
  overview.trace = std::move(traced.at(&overview.plates.front()));
  for (std::size_t i = 1; i < overview.plates.size(); ++i) {
    const foot::LoadTrace& more = traced.at(&overview.plates[i]);
    add_known(overview.trace.vertical, more.vertical);
    add_known(overview.trace.forward, more.forward);
  }
  return {};
}

Result<void> SessionThrows::Impl::trace_both(const foot::RecordedPart& part,
                                             const Progress& progress) {
  const double all = back.rows(reader) + lead.rows(reader);
  std::mutex reporting;
  double done = 0.0;
  bool wanted = true;
  const auto report = [&](double more) {
    const std::lock_guard lock(reporting);
    done += more;
    wanted = wanted && goes_on(progress, done);
    return wanted;
  };
  const auto trace_one = [&](FootOverview& overview) {
    return trace(overview, part,
                 [&, share = overview.rows(reader) / all, before = 0.0](double now) mutable {
                   return report(share * (now - std::exchange(before, now)));
                 });
  };
  auto other = std::async(std::launch::async, [&] { return trace_one(lead); });
  const auto traced = trace_one(back);
  const auto other_traced = other.get();
  if (!traced) return traced;
  if (!other_traced) return other_traced;
  // No number is read from them, so nothing of theirs may cost a throw: without a zero nothing is
  // said of what they carried.
  const auto still_wanted = [&](double) { return goes_on(progress, done); };
  for (foot::SessionPlate& plate : others)
    if (const auto zeros = trace({&plate}, part, still_wanted); !zeros && !wanted)
      return tl::make_unexpected(zeros.error());
  return {};
}

void SessionThrows::Impl::weigh(const FootOverview& overview) {
  const auto steady = foot::heaviest_steady(overview.trace, settings.heavy_stand_length,
                                            settings.heavy_stand_range);
  if (steady && (!heaviest || steady->force > heaviest->load.force))
    heaviest = HeaviestStand{overview.role, *steady};
  for (const float vertical : overview.trace.vertical)
    if (static_cast<double>(vertical) > greatest) greatest = static_cast<double>(vertical);
}

Result<void> SessionThrows::Impl::find_in(const foot::RecordedPart& part,
                                          const Progress& progress) {
  if (auto traced = trace_both(part, progress); !traced) return traced;
  const auto found = find_throws(back.trace, lead.trace, body_weight(reader.session()), settings);
  contacts.insert(contacts.end(), found.begin(), found.end());
  const auto landings =
      find_shared_landings(back.trace, lead.trace, body_weight(reader.session()), settings);
  // What is measured has its flag.
  for (const SharedLanding& landing : landings)
    if (std::none_of(found.begin(), found.end(), [&](double contact) {
          return std::abs(landing.time - contact) < settings.between_throws;
        }))
      shared.push_back(landing);
  weigh(back);
  weigh(lead);
  back.trace = lead.trace = {};  // as long as the part, and done with
  return {};
}

Result<foot::PlateWindow> SessionThrows::Impl::window_of(const foot::SessionPlate& plate,
                                                         double contact) const {
  auto window = foot::window_around(reader, plate, contact, settings);
  if (window) window->accuracy = accuracy_or_assumed(window->accuracy, settings);
  return window;
}

Result<FootOfThrow> SessionThrows::Impl::foot_at(const FootOverview& overview,
                                                 double contact) const {
  std::vector<foot::PlateWindow> windows;
  std::vector<PlateOfThrow> plates;
  for (const foot::SessionPlate& plate : overview.plates) {
    auto window = window_of(plate, contact);
    if (!window) return tl::make_unexpected(window.error());
    const double first_zero =
        plate.unloaded.empty() ? window->zero(2) : plate.unloaded.front().vertical;
    plates.push_back({plate.plate->device, plate.ordinal, first_zero});
    windows.push_back(std::move(*window));
  }
  auto window = foot::FootWindow::make(std::move(windows));
  if (!window) return tl::make_unexpected(window.error());
  return FootOfThrow{std::move(*window), std::move(plates)};
}

Result<PlatesOfThrow> SessionThrows::Impl::plates_at(double contact) const {
  auto of_back = foot_at(back, contact);
  if (!of_back) return tl::make_unexpected(of_back.error());
  auto of_lead = foot_at(lead, contact);
  if (!of_lead) return tl::make_unexpected(of_lead.error());
  PlatesOfThrow plates{std::move(*of_back), std::move(*of_lead), {}};
  for (const foot::SessionPlate& other : others) {
    if (auto window = window_of(other, contact))
      plates.others.push_back({session::other_plate_name(*other.plate), std::move(*window)});
  }
  return plates;
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
  auto others = foot::other_plates(reader);
  if (!others) return tl::make_unexpected(others.error());
  std::vector<const session::SampleClock*> clocks;
  for (const auto* plates : {&back->plates, &lead->plates})
    for (const foot::SessionPlate& plate : *plates) clocks.push_back(&plate.clock);
  const auto parts = foot::recorded_parts(clocks, reader.name());
  if (!parts) return tl::make_unexpected(parts.error());
  auto impl = std::unique_ptr<Impl>(new Impl{reader,
                                             settings,
                                             std::move(*back),
                                             std::move(*lead),
                                             std::move(*others),
                                             {},
                                             {},
                                             std::nullopt,
                                             0.0,
                                             std::nullopt});
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
const std::vector<SharedLanding>& SessionThrows::shared_landings() const { return impl_->shared; }
double SessionThrows::greatest_load() const { return impl_->greatest; }

std::optional<session::ResultFlag> SessionThrows::doubt_of_mass() const {
  const session::Session& session = impl_->reader.session();
  const auto& heaviest = impl_->heaviest;
  if (!heaviest || !(heaviest->load.force > impl_->settings.heavy_stand * body_weight(session)))
    return std::nullopt;
  return session::flagged(definitions::Flag::heavier_than_stated,
                          fmt::arg("plates", session::plates_of_foot(session, heaviest->plate)),
                          fmt::arg("carried", heaviest->load.force / standard_gravity),
                          fmt::arg("time", heaviest->load.time),
                          fmt::arg("stated", session.athlete.mass.value));
}

Result<ThrowInMemory> SessionThrows::take(std::size_t thrown, Extent extent) const {
  const double contact = impl_->contacts.at(thrown);
  auto plates = impl_->plates_at(contact);
  if (!plates) return tl::make_unexpected(plates.error());
  auto ball = impl_->witness->at(thrown);
  if (!ball) return tl::make_unexpected(ball.error());
  auto taken = ThrowInMemory::make(impl_->reader.session(), std::move(*plates), contact,
                                   std::move(*ball), impl_->settings, extent);
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
