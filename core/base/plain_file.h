// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "core/base/result.h"

namespace moundwork {

/// Fails in one sentence where `path` is there and is a pipe, a device or a socket: whoever opens
/// and reads it would wait for ever, or read without end. To be asked before opening.
[[nodiscard]] Result<void> refuse_endless(const std::filesystem::path& path);

}  // namespace moundwork
