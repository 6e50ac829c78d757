// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/people/day_throws.h"

#include <algorithm>
#include <cctype>
#include <exception>
#include <set>

#include "core/base/lab_file.h"
#include "core/session/attributes.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/identity.h"
#include "core/session/reader.h"
#include "core/session/results.h"
#include "core/session/schema.h"
#include "core/session/start.h"

namespace moundwork::people {

namespace fs = std::filesystem;

namespace {

// HDF5 is many programs' format.
bool is_of_another_kind(const fs::path& file) {
  const auto held = session::hdf5::hold_library();
  try {
    const H5::H5File opened = session::hdf5::open_to_read(file);
    const H5::Group root = opened.openGroup("/");
    return !root.attrExists("format") ||
           session::hdf5::read_text(root, "format") != session::schema::format_name;
  } catch (const std::exception&) {
    return false;
  } catch (const H5::Exception&) {
    return false;
  }
}

bool named_as_session(const fs::path& path) {
  std::string extension = path.extension().string();
  std::transform(extension.begin(), extension.end(), extension.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return (extension == ".h5" || extension == ".hdf5") &&
         !path.stem().string().ends_with(".results");
}

}  // namespace

ThrowsByDay::ThrowsByDay(const std::vector<fs::path>& files) {
  for (const fs::path& file : files) {
    const auto reader = session::Reader::open(file);
    if (!reader) {
      if (!is_of_another_kind(file)) ++unreadable_;
      continue;
    }
    const session::Session& session = reader->session();
    const auto results = session::read_results(file);
    const bool measured = results && !results->made.empty();
    const int throws = measured ? static_cast<int>(results->throws.size()) : -1;
    const auto known = std::find_if(entries_.begin(), entries_.end(), [&](const Entry& one) {
      return one.id == session.id && one.started == session.started;
    });
    // A copy may lie there without its results, or with older ones.
    if (known != entries_.end())
      known->throws = std::max(known->throws, throws);
    else
      entries_.push_back(
          {session.id, session.started, session::day_of(session), session.athlete, throws});
  }
}

DayThrows ThrowsByDay::beside(const session::Session& session) const {
  const std::string day = session::day_of(session);
  DayThrows found;
  if (session::identity_of(session.athlete).empty()) return found;
  found.unreadable = unreadable_;
  for (const Entry& entry : entries_) {
    const bool itself = entry.id == session.id && entry.started == session.started;
    if (itself || entry.day != day || !session::may_be_one(entry.athlete, session.athlete))
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
  // Enough for a year, a month and a day's hours; a session in a home folder is not to have all of
  // a computer's disk looked through.
  constexpr int deepest = 3;
  std::set<fs::path> folders, sessions;
  for (const fs::path& file : files) {
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(file, error);
    const fs::path& path = error ? file : whole;
    folders.insert(lab_home_of(path).value_or(path.parent_path()));
  }
  for (const fs::path& folder : folders) {
    std::error_code error;
    for (fs::recursive_directory_iterator
             entry(folder, fs::directory_options::skip_permission_denied, error),
         end;
         !error && entry != end; entry.increment(error)) {
      if (entry.depth() >= deepest) entry.disable_recursion_pending();
      std::error_code status;
      if (named_as_session(entry->path()) && fs::is_regular_file(entry->status(status)))
        sessions.insert(entry->path());
    }
  }
  return {sessions.begin(), sessions.end()};
}

}  // namespace moundwork::people
