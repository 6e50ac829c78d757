// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "app/index/entry.h"
#include "app/index/index.h"

namespace moundwork::index {

enum class Stored {
  added,       ///< a session that the index did not have
  replaced,    ///< its rows made anew
  older_copy,  ///< listed as a place of a session whose other copy has been worked on since
  forgotten,   ///< left out: the session was deleted on purpose
};

struct Put {
  Stored stored = Stored::added;
  std::vector<std::string> copies;   ///< other places of the session, "station: path" if elsewhere
  std::vector<std::string> remarks;  ///< sentences without their full stop
};

/// Enters a session, by its identity, in one transaction: a session known before has all its rows
/// replaced; a file that lies elsewhere now is moved, one more is listed as a copy. `again` takes
/// in a session that was deleted on purpose.
[[nodiscard]] Result<Put> put(const Index& index, const SessionEntry& entry, bool again = false);

/// A file that was made of athletes' sessions, for the day when one of them is to be deleted.
struct Export {
  std::filesystem::path path;
  std::string kind;                   ///< "summary", "table", ...
  std::vector<std::string> athletes;  ///< by id (name where there is none)
};
/// Takes the place of what was listed under the same path.
[[nodiscard]] Result<void> list_export(const Index& index, const Export& made);

/// Takes out sessions without a place, then athletes without a session or export. To be called in a
/// transaction. Gives the number of sessions.
[[nodiscard]] Result<int> drop_unplaced(const Connection& connection);

/// Whether a listed file is really gone, and not on a disk or share that is not there today.
[[nodiscard]] bool gone(const std::filesystem::path& path);

}  // namespace moundwork::index
