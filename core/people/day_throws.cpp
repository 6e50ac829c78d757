// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/day_throws.h"

#include <algorithm>
#include <set>

#include "core/session/identity.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/start.h"

namespace moundwork::people {

namespace fs = std::filesystem;

ThrowsByDay::ThrowsByDay(const std::vector<fs::path>& files) {
  for (const fs::path& file : files) {
    const auto reader = session::Reader::open(file);
    if (!reader) continue;
    const session::Session& session = reader->session();
    const auto results = session::read_results(file);
    const bool measured = results && !results->made.empty();
    const int throws = measured ? static_cast<int>(results->throws.size()) : -1;
    const auto known = std::find_if(entries_.begin(), entries_.end(),
                                    [&](const Entry& one) { return one.id == session.id; });
    // A copy may lie there without its results, or with older ones.
    if (known != entries_.end())
      known->throws = std::max(known->throws, throws);
    else
      entries_.push_back({session.id, session::day_of(session), session.athlete, throws});
  }
}

DayThrows ThrowsByDay::beside(const session::Session& session) const {
  const std::string day = session::day_of(session);
  const std::string& identity = session::identity_of(session.athlete);
  DayThrows found;
  if (identity.empty()) return found;
  for (const Entry& entry : entries_) {
    if (entry.id == session.id || entry.day != day ||
        session::identity_of(entry.athlete) != identity ||
        session::births_differ(entry.athlete.born, session.athlete.born))
      continue;
    if (entry.throws < 0) {
      ++found.unmeasured;
      continue;
    }
    ++found.sessions;
    found.throws += entry.throws;
  }
  return found;
}

std::vector<fs::path> sessions_around(const std::vector<fs::path>& files) {
  std::set<fs::path> folders, sessions;
  for (const fs::path& file : files) {
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(file, error);
    folders.insert((error ? file : whole).parent_path());
  }
  for (const fs::path& folder : folders) {
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error))
      if (entry.path().extension() == ".h5" || entry.path().extension() == ".hdf5")
        if (!entry.path().stem().string().ends_with(".results")) sessions.insert(entry.path());
  }
  return {sessions.begin(), sessions.end()};
}

}  // namespace moundwork::people
