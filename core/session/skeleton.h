// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

#include "core/session/session.h"

namespace moundwork::session {

/// The bytes of a session file (docs/files.md) that has every group, attribute and table and no
/// samples yet. It will lie at `path`, where its companion is sought; `compression` is the deflate
/// level of its samples, 0 for none. One that `grows` under its readers' eyes says what of it is on
/// the disk. Throws H5::Exception.
[[nodiscard]] std::string skeleton_of(const Session& session, const std::filesystem::path& path,
                                      int compression, bool grows);

}  // namespace moundwork::session
