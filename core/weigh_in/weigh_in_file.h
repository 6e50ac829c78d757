// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/session/session.h"

namespace moundwork::weigh_in {

/// What a weigh-in found, to be taken over by the recordings that follow it.
struct WeighIn {
  std::string athlete;  ///< identity; may be empty
  std::string station;  ///< where
  std::string made;     ///< ISO 8601 wall time
  Measured mass;        ///< kg
  std::optional<session::FootLine> foot_line;
};

/// TOML (docs/station-file.md). Fails with the place in the file and what is wrong there.
[[nodiscard]] Result<WeighIn> read_weigh_in(const std::filesystem::path& path);

/// Takes its name only when whole.
[[nodiscard]] Result<void> write_weigh_in(const std::filesystem::path& path,
                                          const WeighIn& weigh_in);

}  // namespace moundwork::weigh_in
