// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string_view>
#include <system_error>
#include <vector>

#include "core/base/result.h"

/// Who may read what this program writes. What holds names, birth dates and forces of people,
/// minors among them, is for the account that wrote it, and for its group where a lab has settled
/// so in lab.toml (`sharing = "group"`). The umask, which is most often open to everybody, has no
/// say.
namespace moundwork {

enum class Sharing {
  owner,  ///< files 0600, folders 0700
  group,  ///< files 0660, folders 2770, so that what is made in them goes to their group
};
[[nodiscard]] std::string_view word_for(Sharing sharing);

/// What holds for a file or folder at `path`: the setting of the lab whose folder it lies in, else
/// the owner's alone; so too where that setting cannot be read.
[[nodiscard]] Sharing sharing_at(const std::filesystem::path& path);

/// Opens a regular file for writing, makes it where it is not there, and sets its mode where it is
/// this account's. Flags as of open(2), without O_CREAT; a descriptor, or -1 with errno.
[[nodiscard]] int open_for_writing(const std::filesystem::path& path, int flags);

/// Adds to the end of a file, which is made where it is not there. Fails in a sentence.
[[nodiscard]] Result<void> append_to_file(const std::filesystem::path& path, std::string_view text);

/// Makes a folder and what is missing above it; gives those that were made, outermost first.
[[nodiscard]] std::vector<std::filesystem::path> make_folders(const std::filesystem::path& folder,
                                                              std::error_code& error);

struct SharingSet {
  int changed = 0;              ///< files and folders whose mode was another
  int right = 0;                ///< that had the mode already
  std::vector<Error> problems;  ///< of other accounts, most often
};
/// Settles it in the lab's folder and changes all that stands there; links are not followed.
[[nodiscard]] Result<SharingSet> set_sharing(const std::filesystem::path& lab, Sharing sharing);

}  // namespace moundwork
