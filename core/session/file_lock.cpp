// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/file_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <thread>
#include <utility>

namespace moundwork::session {

namespace {

Failure in_use(const std::filesystem::path& path) {
  return fail(path.string(), "another program is writing this session",
              "wait until it has finished");
}

// Asked without opening the file for writing, which who records into it would take for a write.
bool locked_by_another(const std::filesystem::path& path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return false;
  struct flock whole {};
  whole.l_type = F_RDLCK;
  whole.l_whence = SEEK_SET;
  const bool locked =
      ::fcntl(descriptor, F_OFD_SETLK, &whole) != 0 && (errno == EAGAIN || errno == EACCES);
  ::close(descriptor);
  return locked;
}

}  // namespace

Result<FileLock> FileLock::acquire(const std::filesystem::path& path) {
  if (locked_by_another(path)) return in_use(path);
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
  if (errno == EAGAIN || errno == EACCES) return in_use(path);
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

Result<FolderLock> FolderLock::acquire(const std::filesystem::path& folder) {
  const std::string name = folder.empty() ? "." : folder.string();
  const int descriptor = ::open(name.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return fail(name, std::string("cannot be opened: ") + std::strerror(errno));
  FolderLock lock(descriptor);
  constexpr std::chrono::seconds longest{5};
  const auto begun = std::chrono::steady_clock::now();
  // A directory cannot be opened for writing, which a write lock by fcntl asks for.
  while (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK && errno != EINTR)
      return fail(name, std::string("cannot be locked: ") + std::strerror(errno));
    if (std::chrono::steady_clock::now() - begun > longest)
      return fail(name, "another program keeps its results locked", "wait until it has finished");
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return lock;
}

FolderLock::FolderLock(FolderLock&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)) {}

FolderLock& FolderLock::operator=(FolderLock&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

FolderLock::~FolderLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

}  // namespace moundwork::session
