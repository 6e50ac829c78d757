// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <string_view>

#include "core/base/result.h"

namespace moundwork::plate {

/// Rotation from a recording's frame into the lab frame, told by which of the recording's axes
/// point toward home plate and up: "x", "+x", "-x", and likewise y and z. `where` names the place
/// for the error sentence. Fails on other words and on two axes along the same line.
[[nodiscard]] Result<Eigen::Matrix3d> lab_axes(std::string_view home, std::string_view up,
                                               std::string_view where);

}  // namespace moundwork::plate
