// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/companion.h"
#include "core/session/edit.h"

namespace moundwork::session {

/// Adds an edit to the list of the session at `path` and returns its identity, a new one where it
/// has none. Fails when a text is longer than its place in the list.
[[nodiscard]] Result<std::string> append_edit(const std::filesystem::path& path, const Edit& edit);
/// The same of an edit that depends on those that are there, as an undo does: nobody adds another
/// between the choice and the append. What `choose` refuses is not appended.
[[nodiscard]] Result<std::string> append_edit(
    const std::filesystem::path& path,
    const std::function<Result<Edit>(std::span<const Edit>)>& choose);
/// Several that belong together, all or none. Returns the place of the first in the list, from 0.
[[nodiscard]] Result<std::size_t> append_edits(const std::filesystem::path& path,
                                               std::vector<Edit> edits);

/// In the order in which they were made.
[[nodiscard]] Result<std::vector<Edit>> read_edits(
    const std::filesystem::path& path, Unidentified unidentified = Unidentified::refused);

/// For who knows the session's identity already: the edits of the companion that carries it, none
/// where there is no such.
[[nodiscard]] std::vector<Edit> own_edits(const std::filesystem::path& path,
                                          const std::string& session_id);

}  // namespace moundwork::session
