// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace moundwork::support {

/// Writes a session again with its lead plate in two halves, the second nearer to home plate and on
/// a device of its own, "second lead plate", of half the rate. Each half carries half of what the
/// whole plate did, at the same place of its own, so that together they carry the same there.
void split_lead_plate(const std::filesystem::path& from, const std::filesystem::path& to);

}  // namespace moundwork::support
