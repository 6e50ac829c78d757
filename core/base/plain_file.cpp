// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/plain_file.h"

#include <system_error>

namespace moundwork {

Result<void> refuse_endless(const std::filesystem::path& path) {
  std::error_code problem;
  using Type = std::filesystem::file_type;
  switch (std::filesystem::status(path, problem).type()) {
    case Type::fifo:
      return fail(path.string(), "is a pipe, where a file is wanted", "give the name of a file");
    case Type::character:
    case Type::block:
      return fail(path.string(), "is a device, where a file is wanted", "give the name of a file");
    case Type::socket:
      return fail(path.string(), "is a socket, where a file is wanted", "give the name of a file");
    default:
      return {};
  }
}

}  // namespace moundwork
