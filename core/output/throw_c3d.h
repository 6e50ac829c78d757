// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "core/c3d/write.h"
#include "core/output/throw_windows.h"
#include "core/output/tidy.h"

namespace moundwork::output {

/// One throw as a C3D recording. Forces are tared and not filtered; each plate is a type 2 platform
/// whose channels hold the athlete's action, in N and N mm about the middle of its surface (ORIGIN
/// is zero), in axes whose z points down into the plate. CORNERS are the rectangle that the
/// session's forces were rotated by, so that every rule for the axes gives the same.
///
/// C3D has one rate: samples of slower plates, or of all but the first where they have clocks of
/// their own, are interpolated by straight lines to the other's times; MOUNDWORK:RESAMPLED says
/// which. Gaps are bridged likewise and named in MOUNDWORK:GAPS. The foot's line is in it as the
/// resting markers HEEL and TOE, events as EVENT in seconds from the first frame. Fails where the
/// plates did not record at the same time.
[[nodiscard]] Result<c3d::Recording> throw_recording(
    const ExportedSession& session, const session::ResultThrow& one, const PlatesOfThrow& plates,
    const std::optional<session::FootLine>& foot_line);

}  // namespace moundwork::output
