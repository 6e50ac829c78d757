// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/file_lock.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

namespace moundwork::session {

Result<FileLock> FileLock::acquire(const std::filesystem::path& path) {
  const int descriptor = ::open(path.c_str(), O_RDWR | O_CLOEXEC);
  if (descriptor < 0)
    return fail(path.string(),
                std::string("cannot be opened for writing: ") + std::strerror(errno));
  FileLock lock(descriptor);
  // An open-file-description lock, because HDF5's own flock would collide with a second flock and
  // a classic record lock would be lost when HDF5 closes its descriptor.
  struct flock whole {};
  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  if (::fcntl(descriptor, F_OFD_SETLK, &whole) == 0) return lock;
  if (errno == EAGAIN || errno == EACCES)
    return fail(path.string(), "another program is writing this session",
                "wait until it has finished");
  return fail(path.string(), std::string("cannot be locked: ") + std::strerror(errno));
}

FileLock::FileLock(FileLock&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}

FileLock& FileLock::operator=(FileLock&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

FileLock::~FileLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

void put_in_place(const std::filesystem::path& working, const std::filesystem::path& target) {
  const int descriptor = ::open(working.c_str(), O_RDONLY | O_CLOEXEC);
  const bool synced = descriptor >= 0 && ::fsync(descriptor) == 0;
  const int error = errno;
  if (descriptor >= 0) ::close(descriptor);
  if (!synced)
    throw std::filesystem::filesystem_error("sync", working,
                                            std::error_code(error, std::generic_category()));
  std::filesystem::rename(working, target);
}

}  // namespace moundwork::session
