// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/staged_files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "core/base/sharing.h"
#include "core/base/working_files.h"
#include "core/base/write_file.h"

namespace moundwork {

namespace fs = std::filesystem;

StagedFiles::~StagedFiles() {
  std::error_code ignored;
  for (const Pair& file : files_)
    if (!file.placed) {
      fs::remove(file.working, ignored);
      forget_working(file.working);
    }
  release_lock();  // its file lies in one of the folders
  // Innermost last made; a folder that holds something stays.
  for (auto folder = folders_made_.rbegin(); folder != folders_made_.rend(); ++folder) {
    fs::remove(*folder, ignored);
    forget_working(*folder);
  }
}

void StagedFiles::release_lock() {
  if (lock_ < 0) return;
  std::error_code ignored;
  // While it is held: who opened it meanwhile finds that it lost its name, and is refused.
  fs::remove(lock_path_, ignored);
  forget_working(lock_path_);
  ::close(lock_);
  lock_ = -1;
}

// Who runs a command twice at once writes the same first file. One lock for the set, since a file
// open for each of hundreds would be more than a process may have.
Result<void> StagedFiles::lock(const fs::path& target) {
  lock_path_ = target;
  lock_path_ += ".part";
  lock_ = open_for_writing(lock_path_, O_RDWR | O_NOFOLLOW);
  if (lock_ < 0 && errno == ELOOP)
    return fail(lock_path_.string(), "is a link, and would lead what is written elsewhere",
                "delete it");
  if (lock_ < 0)
    return fail(target.string(), std::string("cannot be written: ") + std::strerror(errno),
                "check that the folder may be written to and the disk has room");
  // Of the open file, not of the process, which would lose it with the first close by a writer.
  struct flock whole {};
  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  const bool free =
      ::fcntl(lock_, F_OFD_SETLK, &whole) == 0 || (errno != EAGAIN && errno != EACCES);
  // Whoever held it may have put the file in place between our opening and locking it.
  struct stat ours {};
  struct stat named {};
  if (free && ::fstat(lock_, &ours) == 0 && ::stat(lock_path_.c_str(), &named) == 0 &&
      ours.st_dev == named.st_dev && ours.st_ino == named.st_ino) {
    note_working(lock_path_);
    return {};
  }
  ::close(lock_);
  lock_ = -1;
  return fail(target.string(), "is being written by another program", "wait until it has finished");
}

Result<fs::path> StagedFiles::add(const fs::path& target) {
  if (std::any_of(files_.begin(), files_.end(),
                  [&](const Pair& file) { return file.target == target; }))
    return fail(target.string(), "would be written twice", "give each session once");
  std::error_code status;
  if (fs::is_directory(target, status))
    return fail(target.string(), "is a folder, where a file is to be written",
                Remedy::another_place);
  if (fs::exists(target, status) && !fs::is_regular_file(target, status))
    return fail(target.string(), "is a device or the like, which a file would take the place of",
                Remedy::another_place);
  if (fs::exists(target, status) && !replace_)
    return fail(target.string(), "is already there", Remedy::another_place_or_replace);
  if (target.has_parent_path() && !fs::exists(target.parent_path(), status)) {
    for (const fs::path& folder : make_folders(target.parent_path(), status)) {
      folders_made_.push_back(folder);
      note_working(folder);
    }
    if (status)
      return fail(target.parent_path().string(), "cannot be made: " + status.message(),
                  Remedy::another_place);
  }
  if (target.has_parent_path() && !fs::is_directory(target.parent_path(), status))
    return fail(target.parent_path().string(), "is a file, where a folder is wanted",
                Remedy::another_place);
  if (lock_ < 0)
    if (auto locked = lock(target); !locked) return tl::make_unexpected(locked.error());
  auto working = make_working(target);
  if (working) files_.push_back({*working, target});
  return working;
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
  for (const fs::path& folder : folders_made_) forget_working(folder);
  folders_made_.clear();
  release_lock();
  return {};
}

}  // namespace moundwork
