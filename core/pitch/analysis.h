// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/definitions/settings.h"
#include "core/pitch/analysed_throw.h"
#include "core/pitch/session_throws.h"
#include "core/session/results.h"
#include "core/session/row_source.h"

namespace moundwork::pitch {

struct Analysis {
  std::vector<AnalysedThrow> throws;
  std::vector<session::ResultFlag> remarks;  ///< about the session as a whole
  std::size_t edits_known = 0;               ///< so many edits it followed
};

/// Finds and measures every throw of a session as its edits say (core/session/edit_state.h), on as
/// many threads as the machine has cores; the numbers do not depend on how many. Memory stays that
/// of its coarse traces and of one throw's window per thread, whatever the number of throws. Edits
/// of a companion that does not say whose it is count only once it was claimed (companion_check.h).
[[nodiscard]] Result<Analysis> analyse(const session::RowSource& reader,
                                       const definitions::Settings& settings,
                                       const Progress& progress = {});

/// As stored beside the raw data; `made` is the wall time in ISO 8601.
[[nodiscard]] session::ResultSet to_results(const Analysis& analysis,
                                            const definitions::Settings& settings,
                                            const std::string& made);

}  // namespace moundwork::pitch
