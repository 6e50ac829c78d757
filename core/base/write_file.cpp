// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/write_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <random>
#include <string>
#include <system_error>

#include "core/base/force_folder.h"
#include "core/base/sharing.h"
#include "core/base/working_files.h"

namespace moundwork {
namespace {

constexpr const char* look_at = "check that the folder may be written to and the disk has room";

}  // namespace

Result<void> write_file(const std::filesystem::path& path, std::string_view bytes) {
  const int descriptor = open_for_writing(path, O_WRONLY | O_TRUNC);
  bool written = descriptor >= 0;
  for (std::string_view left = bytes; written && !left.empty();) {
    const ssize_t count = ::write(descriptor, left.data(), left.size());
    if (count < 0 && errno == EINTR) continue;
    written = count > 0;
    if (written) left.remove_prefix(static_cast<std::size_t>(count));
  }
  int error = errno;
  if (descriptor >= 0 && ::close(descriptor) != 0 && written) {
    written = false;
    error = errno;
  }
  if (written) return {};
  const std::string why = std::strerror(error);
  std::error_code ignored;
  // A device is not ours to remove.
  if (std::filesystem::is_regular_file(path, ignored)) std::filesystem::remove(path, ignored);
  return fail(path.string(), "cannot be written: " + why, look_at);
}

void put_in_place(const std::filesystem::path& working, const std::filesystem::path& target) {
  const int descriptor = ::open(working.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
  const bool synced = descriptor >= 0 && ::fsync(descriptor) == 0;
  const int error = errno;
  if (descriptor >= 0) ::close(descriptor);
  if (!synced)
    throw std::filesystem::filesystem_error("sync", working,
                                            std::error_code(error, std::generic_category()));
  std::filesystem::rename(working, target);
  forget_working(working);
  force_folder(target);
}

Result<std::filesystem::path> make_working(const std::filesystem::path& target) {
  std::random_device chance;
  for (int attempt = 0; attempt < 100; ++attempt) {
    std::filesystem::path working = target;
    working += fmt::format(".{:08x}{:08x}.part", chance(), chance());
    const int descriptor = ::open(
        working.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, S_IRUSR | S_IWUSR);
    if (descriptor >= 0) {
      ::close(descriptor);
      note_working(working);
      return working;
    }
    if (errno != EEXIST) break;
  }
  return fail(target.string(), std::string("cannot be written: ") + std::strerror(errno), look_at);
}

Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes) {
  const auto working = make_working(path);
  if (!working) return tl::make_unexpected(working.error());
  if (auto written = write_file(*working, bytes); !written) {
    forget_working(*working);
    return fail(path.string(), written.error().what, look_at);
  }
  try {
    put_in_place(*working, path);
  } catch (const std::filesystem::filesystem_error& problem) {
    std::error_code ignored;
    std::filesystem::remove(*working, ignored);
    forget_working(*working);
    return fail(path.string(), "cannot be put in place: " + problem.code().message(), look_at);
  }
  return {};
}

bool is_working_file_of(const std::filesystem::path& file, const std::filesystem::path& target) {
  const std::string name = file.filename().string();
  const std::string begin = target.filename().string() + ".";
  return name.starts_with(begin) && name.ends_with(".part");
}

}  // namespace moundwork
