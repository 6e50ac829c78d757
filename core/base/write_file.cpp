// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/write_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <fstream>
#include <system_error>

#include "core/base/working_files.h"

namespace moundwork {
namespace {

constexpr const char* look_at = "check that the folder may be written to and the disk has room";

}  // namespace

Result<void> write_file(const std::filesystem::path& path, std::string_view bytes) {
  std::ofstream file(path, std::ios::binary);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  if (file) return {};
  const std::string why = std::strerror(errno);
  std::error_code ignored;
  // A device is not ours to remove.
  if (std::filesystem::is_regular_file(path, ignored)) std::filesystem::remove(path, ignored);
  return fail(path.string(), "cannot be written: " + why, look_at);
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
  forget_working(working);
}

Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes) {
  std::filesystem::path working = path;
  working += ".part";
  note_working(working);
  if (auto written = write_file(working, bytes); !written) {
    forget_working(working);
    return written;
  }
  try {
    put_in_place(working, path);
  } catch (const std::filesystem::filesystem_error& problem) {
    std::error_code ignored;
    std::filesystem::remove(working, ignored);
    forget_working(working);
    return fail(path.string(), "cannot be put in place: " + problem.code().message(), look_at);
  }
  return {};
}

}  // namespace moundwork
