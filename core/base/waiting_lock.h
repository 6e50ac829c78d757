// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <filesystem>

#include "core/base/result.h"

namespace moundwork {

/// Holds the right to change a small file that several programs and stations change in turn. The
/// lock is on a hidden file beside it, `.NAME.lock`, since the file itself is replaced by every
/// change; it stays there, empty. The kernel drops the lock when a process ends however it ends,
/// and file servers pass it on to other stations.
class WaitingLock {
 public:
  /// Waits for others to finish, which takes them milliseconds. Fails in a sentence after `longest`
  /// and where the folder may not be written to.
  [[nodiscard]] static Result<WaitingLock> acquire(
      const std::filesystem::path& file,
      std::chrono::milliseconds longest = std::chrono::seconds(5));
  WaitingLock(WaitingLock&& other) noexcept;
  WaitingLock& operator=(WaitingLock&& other) noexcept;
  ~WaitingLock();

 private:
  explicit WaitingLock(int descriptor) : descriptor_(descriptor) {}
  int descriptor_ = -1;
};

}  // namespace moundwork
