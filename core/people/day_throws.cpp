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
  std::set<std::string> seen;
  for (const fs::path& file : files) {
    const auto reader = session::Reader::open(file);
    if (!reader || !seen.insert(reader->session().id).second) continue;
    const session::Session& session = reader->session();
    Entry entry{session.id, session::day_of(session), session.athlete};
    const auto results = session::read_results(file);
    if (results && !results->made.empty()) entry.throws = static_cast<int>(results->throws.size());
    entries_.push_back(std::move(entry));
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
