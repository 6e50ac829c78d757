// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/intake/facts.h"

namespace moundwork::intake {

struct C3dRequest {
  Facts facts;
  std::optional<std::string> heel_marker, toe_marker;
  std::optional<std::string> release_marker;
  Eigen::Matrix3d to_lab = Eigen::Matrix3d::Identity();
};

/// What an import did, for the person who asked for it.
struct ImportReport {
  std::vector<int> back_plates, lead_plates;  ///< as the file counts, from 1
  int back_plate = 0, lead_plate = 0;  ///< the first of each that was named or found; 0 without any
  double duration = 0.0;               ///< s
  std::vector<std::string> remarks;
};

/// Writes a session file from a C3D recording. Samples are stored as they stand in the file, with
/// its scales beside them. Nothing is written on failure.
[[nodiscard]] Result<ImportReport> import_c3d(const std::filesystem::path& source,
                                              const C3dRequest& request,
                                              const std::filesystem::path& target);

}  // namespace moundwork::intake
