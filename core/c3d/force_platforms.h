// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/c3d/file.h"
#include "core/plate/geometry.h"

namespace moundwork::c3d {

/// One plate of the FORCE_PLATFORM group, brought to SI.
struct ForcePlatform {
  int number = 1;                       ///< as the file counts, from 1
  plate::PlateDescription description;  ///< in the lab frame
  std::vector<int> channels;            ///< 0-based analog columns, in the description's order
  /// Mean unloaded reading over the frames of FORCE_PLATFORM:ZERO less the channel's offset, raw
  /// units, to be added to that offset; zero where the file names no such frames.
  Eigen::VectorXd baseline;
  bool loaded = false;               ///< whether anything ever stood on it
  std::vector<std::string> remarks;  ///< what was odd but could be settled
};

/// Plates in the file's order. A plate that cannot be used is an error in its place, so that the
/// others stay usable; the whole fails when the file describes no plates.
///
/// Decided here, because files differ:
/// - Lengths are in POINT:UNITS (C3D user guide, ORIGIN). Moments are in newtons times that unit
///   unless ANALOG:UNITS names a unit of moment.
/// - CAL_MATRIX is used for type 4 alone: the standard's type 2 channels are already forces.
/// - The electrical origin lies below the surface. An ORIGIN that says otherwise is the same vector
///   under the opposite sign convention and is negated (type 3: its z alone, a and b being
///   distances).
/// - The standard's channels hold the athlete's action on the plate; where a loaded plate would
///   then pull the athlete down, the channels hold the reaction and the sign is taken so. A plate
///   that was not loaded has the sign on which the file's loaded plates agree. Load is
///   told from the offset of an untared plate by its being the end of the recorded range farther
///   from zero.
/// - Frames that ZERO names give no baseline when the plate was loaded in them.
///
/// `to_lab` turns the file's frame into the lab's, whose z is up (plate::lab_axes).
[[nodiscard]] Result<std::vector<Result<ForcePlatform>>> force_platforms(
    const File& file, const Eigen::Matrix3d& to_lab = Eigen::Matrix3d::Identity());

}  // namespace moundwork::c3d
