// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/waiting_lock.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string>
#include <thread>
#include <utility>

#include "core/base/sharing.h"

namespace moundwork {

Result<WaitingLock> WaitingLock::acquire(const std::filesystem::path& file,
                                         std::chrono::milliseconds longest) {
  const auto beside = file.parent_path() / ("." + file.filename().string() + ".lock");
  const int descriptor = open_for_writing(beside, O_RDWR | O_NOFOLLOW);
  if (descriptor < 0)
    return fail(file.string(), std::string("cannot be changed here: ") + std::strerror(errno),
                "check that its folder may be written to");
  WaitingLock lock(descriptor);
  struct flock whole {};
  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  const auto begun = std::chrono::steady_clock::now();
  // Of the open file: a lock of the process would not keep two windows of one process apart.
  while (::fcntl(descriptor, F_OFD_SETLK, &whole) != 0) {
    if (errno != EAGAIN && errno != EACCES && errno != EINTR)
      return fail(file.string(), std::string("cannot be locked: ") + std::strerror(errno));
    if (std::chrono::steady_clock::now() - begun > longest)
      return fail(file.string(), "is being changed by another program",
                  "wait until it has finished, then do it again");
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return lock;
}

WaitingLock::WaitingLock(WaitingLock&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)) {}

WaitingLock& WaitingLock::operator=(WaitingLock&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

WaitingLock::~WaitingLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

}  // namespace moundwork
