// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string>

#include "core/base/result.h"
#include "core/c3d/file.h"
#include "core/session/session.h"

namespace moundwork::intake {

/// The back foot's line from a heel and a toe marker: the mean of both over the longest stretch in
/// which neither moves, since the foot lies along the rubber until the drive turns it. Lab frame by
/// `to_lab`.
[[nodiscard]] Result<session::FootLine> foot_line_from_markers(const c3d::File& file,
                                                               const std::string& heel,
                                                               const std::string& toe,
                                                               const Eigen::Matrix3d& to_lab);

/// Release as the instant at which a hand's marker is fastest; it stands for the ball to within a
/// frame.
[[nodiscard]] Result<session::KnownRelease> release_from_marker(const c3d::File& file,
                                                                const std::string& marker);

}  // namespace moundwork::intake
