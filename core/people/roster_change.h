// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/people/roster_athlete.h"
#include "core/people/roster_file.h"

namespace moundwork::people {

/// A change of one athlete, made by somebody who saw the row as `before`. Without `before` somebody
/// new, without `after` a removal.
struct RowChange {
  std::optional<RosterAthlete> before, after;
  bool any_id = false;  ///< of somebody new: the id is a wish, the next free one serves as well
  int place = -1;       ///< row of somebody new; behind all others when negative
};

/// What turns one list into the other. Who stands at the same place under another id, which neither
/// list has elsewhere, got a new id.
[[nodiscard]] std::vector<RowChange> changes_between(const std::vector<RosterAthlete>& before,
                                                     const std::vector<RosterAthlete>& after);
/// What takes the changes back, in the order in which that is done.
[[nodiscard]] std::vector<RowChange> reversed(const std::vector<RowChange>& changes);

/// Tells whether a file is still the one that was read: spreadsheets know no lock.
struct FileStamp {
  bool there = false;
  std::uint64_t file = 0;
  std::int64_t bytes = 0, seconds = 0, nanoseconds = 0;
  bool operator==(const FileStamp&) const = default;
};
[[nodiscard]] FileStamp stamp_of(const std::filesystem::path& path);

/// A sentence for those who see the changes come in from elsewhere.
[[nodiscard]] std::string in_words(const std::vector<RowChange>& changes);

struct RosterChanged {
  std::vector<RosterAthlete> athletes;  ///< all of the file now
  std::vector<RowChange> made;          ///< as they were made, with the ids that were given
  std::vector<std::string> remarks;     ///< sentences: what others had changed in the same rows
  FileStamp stamp;                      ///< of the file now
};

/// Makes the changes in what the lab's roster.csv holds now, whoever has changed it since `before`
/// was read, under a lock: other rows and the lab's own columns stay to the letter. Two who change
/// one row keep both changes and are told; two who change one cell, or one of whom removes the row,
/// are told too, and then none of these changes is made.
[[nodiscard]] Result<RosterChanged> change_roster(const std::filesystem::path& lab,
                                                  const std::vector<RowChange>& changes);

/// The same in a roster that has been read; ids from `next` on are free for somebody new.
[[nodiscard]] Result<RosterChanged> change_rows(RosterFile& file,
                                                const std::vector<RowChange>& changes, int next);

}  // namespace moundwork::people
