// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdlib>
#include <filesystem>
#include <optional>
#include <string_view>

namespace moundwork::test {

/// A recording of the reference set, which is not part of the product: found under the environment
/// variable MOUNDWORK_REFERENCE_DATA or beside the source tree. Nothing when it is absent.
inline std::optional<std::filesystem::path> reference_file(std::string_view name) {
  namespace fs = std::filesystem;
  const char* given = std::getenv("MOUNDWORK_REFERENCE_DATA");
  // Told by the build: a compiler's cache may give sources names that lead nowhere from here.
  const fs::path folder(given != nullptr ? given : MOUNDWORK_REFERENCE_DATA);
  fs::path path = folder / name;
  std::error_code status;
  if (!fs::is_regular_file(path, status)) return std::nullopt;
  return path;
}

}  // namespace moundwork::test
