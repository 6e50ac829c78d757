// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/force_folder.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>

namespace moundwork {

void force_folder(const std::filesystem::path& file) noexcept {
  const auto folder = file.has_parent_path() ? file.parent_path() : std::filesystem::path(".");
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  while (::fsync(descriptor) != 0 && errno == EINTR) {
  }
  ::close(descriptor);
}

}  // namespace moundwork
