// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace moundwork {

/// Brings the name of `file` to the disk, as far as the file system lets itself be asked: else a
/// power cut may leave the folder as it was before. By then the name is there for every program, so
/// nothing is to be taken back where the disk does not answer; what is forced next will tell.
void force_folder(const std::filesystem::path& file) noexcept;

}  // namespace moundwork
