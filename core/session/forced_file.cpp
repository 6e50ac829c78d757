// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/forced_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string>
#include <utility>

#include "core/session/on_disk.h"

namespace moundwork::session {

ForcedFile::ForcedFile(int descriptor, dev_t device, std::filesystem::path path,
                       std::uint64_t place, std::size_t tables)
    : descriptor_(descriptor),
      device_(device),
      path_(std::move(path)),
      place_(place),
      half_bytes_(on_disk::bytes_of_half(tables)) {}

// Opened anew, since what is reported of a failed write is reported once for each opening.
Result<ForcedFile> ForcedFile::open(int descriptor, const std::filesystem::path& path,
                                    std::uint64_t place, std::size_t tables) {
  const std::string same = fmt::format("/proc/self/fd/{}", descriptor);
  const int own = ::open(same.c_str(), O_RDWR | O_CLOEXEC);
  struct stat about {};
  if (own < 0 || ::fstat(own, &about) != 0)
    return fail(path.string(), std::string("cannot be opened again: ") + std::strerror(errno));
  ForcedFile file(own, about.st_dev, path, place, tables);
  // Where files cannot be watched, what others write is seen by the file's size and count alone.
  file.watch_ = ::inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
  if (file.watch_ >= 0) (void)::inotify_add_watch(file.watch_, same.c_str(), IN_CLOSE_WRITE);
  return file;
}

ForcedFile::ForcedFile(ForcedFile&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)),
      watch_(std::exchange(other.watch_, -1)),
      device_(other.device_),
      path_(std::move(other.path_)),
      place_(other.place_),
      half_bytes_(other.half_bytes_),
      notes_(other.notes_),
      noted_(std::move(other.noted_)),
      greatest_size_(other.greatest_size_) {}

ForcedFile::~ForcedFile() {
  if (watch_ >= 0) ::close(watch_);
  if (descriptor_ >= 0) ::close(descriptor_);
}

Result<void> ForcedFile::force() {
  while (::fdatasync(descriptor_) != 0)
    if (errno != EINTR) return failure("cannot be forced to the disk", errno);
  return {};
}

Result<void> ForcedFile::note(std::span<const std::int64_t> rows) {
  std::vector<std::int64_t> half = on_disk::half(++notes_, rows);
  const std::uint64_t place = place_ + static_cast<std::uint64_t>(notes_ % 2) * half_bytes_;
  const ssize_t written =
      ::pwrite(descriptor_, half.data(), half_bytes_, static_cast<off_t>(place));
  if (written != static_cast<ssize_t>(half_bytes_))
    return failure("cannot be written", written < 0 ? errno : ENOSPC);
  noted_ = std::move(half);
  return {};
}

std::optional<FileLoss> ForcedFile::loss() {
  struct stat ours {};
  if (::fstat(descriptor_, &ours) != 0) return std::nullopt;  // writing will tell
  if (ours.st_size < greatest_size_ || another_wrote()) return FileLoss::spoilt;
  greatest_size_ = ours.st_size;
  if (!noted_.empty()) {
    std::vector<std::int64_t> found(noted_.size());
    const std::uint64_t place = place_ + static_cast<std::uint64_t>(notes_ % 2) * half_bytes_;
    const ssize_t read = ::pread(descriptor_, found.data(), half_bytes_, static_cast<off_t>(place));
    if (read >= 0 && (read < static_cast<ssize_t>(half_bytes_) || found != noted_))
      return FileLoss::spoilt;
  }
  return loss_of_name();
}

// Whoever lets go of the file after it was open for writing: the recording itself never does.
bool ForcedFile::another_wrote() const {
  alignas(inotify_event) std::array<char, 4096> events{};
  return watch_ >= 0 && ::read(watch_, events.data(), events.size()) > 0;
}

std::optional<FileLoss> ForcedFile::loss_of_name() const {
  struct stat ours {
  }, named{};
  if (::fstat(descriptor_, &ours) != 0) return std::nullopt;
  if (ours.st_nlink == 0) return FileLoss::deleted;
  if (::stat(path_.c_str(), &named) != 0)
    return errno == ENOENT || errno == ENOTDIR ? std::optional(FileLoss::moved) : std::nullopt;
  if (named.st_dev != ours.st_dev || named.st_ino != ours.st_ino) return FileLoss::moved;
  return std::nullopt;
}

Failure ForcedFile::failure(const char* doing, int error) const {
  const bool full = error == ENOSPC || error == EDQUOT;
  return fail(path_.string(), std::string(doing) + ": " + std::strerror(error),
              full ? "make room on the disk, then do it again" : "look at the disk");
}

}  // namespace moundwork::session
