// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "core/base/result.h"

namespace moundwork::session {

/// Holds the right to write a session file. The kernel drops it when the process ends however it
/// ends, so a lock that can be had proves that no live writer exists, whatever state flags a killed
/// one left inside the file.
class FileLock {
 public:
  [[nodiscard]] static Result<FileLock> acquire(const std::filesystem::path& path);
  FileLock(FileLock&& other) noexcept;
  FileLock& operator=(FileLock&& other) noexcept;
  ~FileLock();

 private:
  explicit FileLock(int descriptor) : descriptor_(descriptor) {}
  int descriptor_ = -1;
};

/// Holds the right to replace the small files of a folder. Companions are replaced as a whole, so
/// the lock cannot be on them; and a session's own lock belongs to its recording, during which
/// people already tag throws.
class FolderLock {
 public:
  /// Waits a few seconds for others to finish, which takes them milliseconds.
  [[nodiscard]] static Result<FolderLock> acquire(const std::filesystem::path& folder);
  FolderLock(FolderLock&& other) noexcept;
  FolderLock& operator=(FolderLock&& other) noexcept;
  ~FolderLock();

 private:
  explicit FolderLock(int descriptor) : descriptor_(descriptor) {}
  int descriptor_ = -1;
};

}  // namespace moundwork::session
