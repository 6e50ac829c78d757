// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string_view>

#include "core/base/result.h"

namespace moundwork {

/// Puts all bytes into the file, in place of what it held, readable as core/base/sharing.h says.
/// Fails in one sentence with the system's
/// reason, and then leaves no file.
[[nodiscard]] Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

/// Brings `working` to the disk, lets it take the place of `target` in one step, and brings that to
/// the disk (force_folder.h). Throws std::filesystem::filesystem_error, `target` then as it was.
void put_in_place(const std::filesystem::path& working, const std::filesystem::path& target);

/// Makes an empty file beside `target` for what shall become it, under a name that nobody can know
/// before: a link that lies in wait under a known name would lead the bytes elsewhere. Noted as
/// half written (working_files.h).
[[nodiscard]] Result<std::filesystem::path> make_working(const std::filesystem::path& target);
/// Whether a file beside `target` is what a kill left of one made for it.
[[nodiscard]] bool is_working_file_of(const std::filesystem::path& file,
                                      const std::filesystem::path& target);

/// As write_file(), but whoever reads meets all the bytes or the file as it was, and so does a
/// failure leave it. Of several writers at a time the last counts.
[[nodiscard]] Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes);

}  // namespace moundwork
