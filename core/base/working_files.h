// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace moundwork {

/// Notes a file that is half written, or a folder made for it, so that a signal which ends the
/// program leaves none behind. Any thread.
void note_working(const std::filesystem::path& path);

/// It is whole, or removed.
void forget_working(const std::filesystem::path& path);

/// Removes what is noted, last noted first. Safe in a signal handler.
void remove_working() noexcept;

}  // namespace moundwork
