// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/result.h"

namespace moundwork::cli {

struct PlayOptions {
  std::string session;  ///< session file to play
  std::string folder;   ///< for the ports and station.toml
  double speed = 1.0;
  double from = 0.0;  ///< s of session time
};

/// `moundwork simulate --devices FOLDER --play SESSION`: plays a session through virtual ports
/// until it is over or the user ends it. Prints how to record it.
[[nodiscard]] Result<void> simulate_devices(const PlayOptions& options);

}  // namespace moundwork::cli
