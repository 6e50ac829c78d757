// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string_view>

#include "core/base/result.h"
#include "core/summary/content.h"
#include "core/summary/cover.h"

namespace moundwork::summary {

enum class Paper { a4, letter };
[[nodiscard]] std::optional<Paper> paper_from(std::string_view name);

/// One page with real text and its fonts in it. Needs a QGuiApplication (the offscreen platform
/// does). Fails when the file cannot be written.
[[nodiscard]] Result<void> write_pdf(const Summary& summary, const std::filesystem::path& path,
                                     Paper paper);
/// As many pages as the rows take.
[[nodiscard]] Result<void> write_pdf(const Cover& cover, const std::filesystem::path& path,
                                     Paper paper);

}  // namespace moundwork::summary
