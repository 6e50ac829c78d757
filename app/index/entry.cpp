// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/index/entry.h"

#include <fmt/format.h>

#include <QString>
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "core/pitch/companion_check.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/identity.h"
#include "core/session/reader.h"
#include "core/session/start.h"
#include "core/session/throw_fields.h"

namespace moundwork::index {
namespace {

ThrowEntry throw_of(const session::ResultThrow& found, const std::vector<session::Edit>& edits) {
  ThrowEntry entry;
  entry.number = found.number;
  entry.contact = seconds(found.contact);
  if (const auto state = session::state_of(edits, entry.contact); state.excluded) {
    entry.excluded = true;
    entry.why = state.excluded->why;
  } else if (!session::counts(state)) {
    entry.excluded = true;
    entry.why = "warm-up";
  }
  for (const session::ResultFlag& flag : found.flags)
    entry.flags += (entry.flags.empty() ? "" : " ") + flag.key;
  for (const session::ResultValue& value : found.quantities)
    if (const auto quantity = definitions::find_quantity(value.key))
      entry.quantities[static_cast<std::size_t>(*quantity)] = value.measured;
  return entry;
}

std::uintmax_t size_of(const std::filesystem::path& path) {
  std::error_code problem;
  const auto size = std::filesystem::file_size(path, problem);
  return problem ? 0 : size;
}

}  // namespace

std::string SessionEntry::identity() const { return session::identity_of(athlete); }

std::string SessionEntry::changed() const {
  std::string latest = made;
  for (const session::Edit& edit : edits) latest = std::max(latest, edit.when);
  return latest;
}

Result<SessionEntry> read_entry(const std::filesystem::path& path) {
  std::error_code problem;
  // A name that several ways lead to is one location.
  const auto whole = std::filesystem::canonical(path, problem);
  if (problem) return fail(path.string(), "cannot be read: " + problem.message());
  if (QString::fromStdString(whole.string()).toStdString() != whole.string())
    return fail(whole.string(), "has a name that is not UTF-8", "rename it, then add it");
  const auto reader = session::Reader::open(whole);
  if (!reader) return tl::make_unexpected(reader.error());
  const session::Session& session = reader->session();
  if (session.id.empty())
    return fail(path.string(), "has no session identity, by which copies are told from others");
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::make_unexpected(settled.error());
  if (*settled)
    return fail(whole.string(), "is not entered: " + **settled, "analyse the session, then add it");
  auto results = session::read_results(whole);
  if (!results) return tl::make_unexpected(results.error());
  auto edits = session::read_edits(whole);
  if (!edits) return tl::make_unexpected(edits.error());

  SessionEntry entry;
  entry.path = whole;
  entry.bytes = size_of(whole) + size_of(session::companion_path(whole));
  entry.id = session.id;
  entry.started = session.started;
  entry.day = session::day_of(session);
  entry.origin = session.origin;
  entry.surface = session.conditions.surface;
  entry.athlete = session.athlete;
  entry.made = results->made;
  entry.software = results->software;
  std::set<int> numbers;
  for (const session::ResultThrow& found : results->throws) {
    entry.throws.push_back(throw_of(found, *edits));
    if (!std::isfinite(entry.throws.back().contact) || !numbers.insert(found.number).second)
      return fail(
          session::companion_path(whole).string(),
          fmt::format("its results are damaged: throw {} has no time or comes twice", found.number),
          Remedy::measure);
  }
  entry.edits = std::move(*edits);
  return entry;
}

std::vector<MeanEntry> means_of(const std::vector<ThrowEntry>& throws) {
  std::vector<MeanEntry> means;
  for (std::size_t q = 0; q < definitions::quantity_count; ++q) {
    MeanEntry entry;
    entry.quantity = static_cast<definitions::Quantity>(q);
    entry.lowest = std::numeric_limits<double>::infinity();
    entry.highest = -entry.lowest;
    double squares = 0.0, u_squares = 0.0;
    // Welford's recursion: a sum of squares would lose the small spread of large values.
    for (const ThrowEntry& thrown : throws) {
      const Measured& measured = thrown.quantities[q];
      if (thrown.excluded || !measured.known()) continue;
      ++entry.n;
      const double step = measured.value - entry.mean;
      entry.mean += step / entry.n;
      squares += step * (measured.value - entry.mean);
      u_squares += measured.u * measured.u;
      entry.lowest = std::min(entry.lowest, measured.value);
      entry.highest = std::max(entry.highest, measured.value);
    }
    // A damaged file may hold numbers too large to add up.
    if (entry.n == 0 || !std::isfinite(entry.mean)) continue;
    entry.sd =
        entry.n > 1 ? std::sqrt(squares / (entry.n - 1)) : std::numeric_limits<double>::quiet_NaN();
    entry.u = std::sqrt(u_squares / entry.n);
    means.push_back(entry);
  }
  return means;
}

}  // namespace moundwork::index
