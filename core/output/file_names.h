// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace moundwork::output {

/// A text of characters that every file system takes in a name; others are hyphens.
[[nodiscard]] std::string as_file_name(std::string text);

/// What tells a session from others in a file's name: the beginning of a UUID, another identity
/// whole.
[[nodiscard]] std::string session_in_name(const std::string& session_id);

}  // namespace moundwork::output
