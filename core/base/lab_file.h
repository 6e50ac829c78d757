// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <variant>

#include "core/base/result.h"
#include "core/base/sharing.h"

/// lab.toml: what a lab has settled for all who work in its folder (docs/files.md).
namespace moundwork {

inline constexpr const char* lab_file_name = "lab.toml";

struct LabFile {
  std::string zone;                  ///< IANA name of the lab's time zone; empty: this computer's
  Sharing sharing = Sharing::owner;  ///< who else may read what is written here
  std::optional<int>
      analyses_kept;           ///< so many of the last stay in a results file; the last counts
  std::optional<int> next_id;  ///< number of the next new athlete; numbers are never reused
};

/// The nearest folder, from the one that `path` lies in (or is) upward, that has a lab.toml.
[[nodiscard]] std::optional<std::filesystem::path> lab_folder_of(const std::filesystem::path& path);
/// Likewise one that has a lab.toml or a lab.key, else one with a roster.csv: a lab of old has no
/// lab.toml yet.
[[nodiscard]] std::optional<std::filesystem::path> lab_home_of(const std::filesystem::path& path);

/// What the folder's file says; all as it is at first where there is none. Fails in a sentence on a
/// file that cannot be read or says what this program does not know.
[[nodiscard]] Result<LabFile> read_lab_file(const std::filesystem::path& folder);

/// Sets one key in the folder's file, which is made where there is none; other keys stay.
[[nodiscard]] Result<void> set_in_lab_file(const std::filesystem::path& folder,
                                           const std::string& key,
                                           const std::variant<std::string, int>& value);

/// The time zone of what lies at `path`: that of the lab whose folder it is in, else this
/// computer's.
[[nodiscard]] Result<std::string> zone_for(const std::filesystem::path& path);

}  // namespace moundwork
