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

/// Brings `working` to the disk, then lets it take the place of `target` in one step. Throws
/// std::filesystem::filesystem_error.
void put_in_place(const std::filesystem::path& working, const std::filesystem::path& target);

}  // namespace moundwork::session
