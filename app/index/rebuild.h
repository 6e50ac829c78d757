// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "app/index/index.h"
#include "core/base/progress.h"

namespace moundwork::index {

struct Rebuilt {
  int files = 0;     ///< session files that went in
  int sessions = 0;  ///< of them different sessions: the others are copies
  int left_out = 0;  ///< files of sessions that were deleted on purpose
  int dropped = 0;   ///< sessions that lie nowhere any more
  std::uintmax_t bytes = 0;
  double seconds = 0.0;
  int found = 0;           ///< session files there
  bool stopped = false;    ///< before all were read: those that were stand, and nothing was dropped
  std::vector<Error> bad;  ///< files that could not be read; their old rows stay
  std::vector<std::string> remarks;
};

/// Makes the index's rows again from all session files (*.h5) in and below `folders`. What other
/// stations or other folders hold stays; what this station listed below the folders and is no more
/// goes. Fails where a folder is not there or the index cannot be written; a bad file is reported.
[[nodiscard]] Result<Rebuilt> rebuild(const Index& index,
                                      const std::vector<std::filesystem::path>& folders,
                                      const Progress& progress = {});

}  // namespace moundwork::index
