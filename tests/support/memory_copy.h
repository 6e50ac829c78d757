// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/memory_rows.h"
#include "core/session/reader.h"

namespace moundwork::support {

/// Appends a session's rows and readings, their counters `ticks_later` s and their arrivals
/// `arrivals_later` s later.
void copy_rows(const session::Reader& from, session::MemoryRows& to, double ticks_later,
               double arrivals_later);

/// The rows of a file, described otherwise.
[[nodiscard]] session::MemoryRows in_memory(const session::Reader& reader,
                                            const session::Session& session);

}  // namespace moundwork::support
