// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/staged_files.h"

#include <algorithm>

#include "core/base/write_file.h"

namespace moundwork {

namespace fs = std::filesystem;

StagedFiles::~StagedFiles() {
  std::error_code ignored;
  for (const Pair& file : files_)
    if (!file.placed) fs::remove(file.working, ignored);
  // Innermost last made; a folder that holds something stays.
  for (auto folder = folders_made_.rbegin(); folder != folders_made_.rend(); ++folder)
    fs::remove(*folder, ignored);
}

Result<fs::path> StagedFiles::add(const fs::path& target) {
  if (std::any_of(files_.begin(), files_.end(),
                  [&](const Pair& file) { return file.target == target; }))
    return fail(target.string(), "would be written twice", "give each session once");
  std::error_code status;
  if (fs::is_directory(target, status))
    return fail(target.string(), "is a folder, where a file is to be written",
                "choose another place with --out");
  if (fs::exists(target, status) && !fs::is_regular_file(target, status))
    return fail(target.string(), "is a device or the like, which a file would take the place of",
                "choose another place with --out");
  if (fs::exists(target, status) && !replace_)
    return fail(target.string(), "is already there",
                "choose another place with --out, or replace it with --force");
  std::vector<fs::path> missing;
  for (fs::path folder = target.parent_path(); !folder.empty() && !fs::exists(folder, status);
       folder = folder.parent_path())
    missing.push_back(folder);
  for (auto folder = missing.rbegin(); folder != missing.rend(); ++folder) {
    if (!fs::create_directory(*folder, status) && status)
      return fail(folder->string(), "cannot be made: " + status.message(),
                  "choose another place with --out");
    folders_made_.push_back(*folder);
  }
  if (target.has_parent_path() && !fs::is_directory(target.parent_path(), status))
    return fail(target.parent_path().string(), "is a file, where a folder is wanted",
                "choose another place with --out");
  Pair file{target, target};
  file.working += ".part";
  files_.push_back(file);
  return file.working;
}

Result<void> StagedFiles::put_in_place() {
  try {
    for (Pair& file : files_) {
      moundwork::put_in_place(file.working, file.target);
      file.placed = true;
    }
  } catch (const fs::filesystem_error& problem) {
    return fail(problem.path1().string(), "cannot be put in place: " + problem.code().message(),
                "check the folder and the disk's room");
  }
  folders_made_.clear();
  return {};
}

}  // namespace moundwork
