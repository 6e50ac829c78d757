// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "app/desk/state/lab_folder.h"
#include "app/index/index.h"
#include "core/base/result.h"

/// The index that the window keeps up to date for a lab: named in the lab's folder, so that all
/// stations that share the folder share it.
namespace moundwork::desk {

/// As it was typed; empty where the lab names none.
[[nodiscard]] std::string index_of(const LabFolder& lab);

/// Keeps what was typed: a file (seen from the lab's folder) or a server's address; empty for none.
/// Fails, with nothing changed, where it is neither or no index can be opened or made there.
[[nodiscard]] Result<void> keep_index(const LabFolder& lab, const std::string& typed);

/// Opened for writing: the lab's own, or else what MOUNDWORK_INDEX names; none where neither does,
/// and none for practice, whose numbers are invented.
[[nodiscard]] Result<std::optional<index::Index>> open_index_of(const LabFolder& lab);

}  // namespace moundwork::desk
