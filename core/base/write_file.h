// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string_view>

#include "core/base/result.h"

namespace moundwork {

/// Puts all bytes into the file, in place of what it held. Fails in one sentence with the system's
/// reason, and then leaves no file.
[[nodiscard]] Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

/// Brings `working` to the disk, then lets it take the place of `target` in one step. Throws
/// std::filesystem::filesystem_error.
void put_in_place(const std::filesystem::path& working, const std::filesystem::path& target);

/// As write_file(), but whoever reads meets all the bytes or the file as it was, and so does a
/// failure leave it. Works in `path` with ".part" behind it; one writer at a time.
[[nodiscard]] Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes);

}  // namespace moundwork
