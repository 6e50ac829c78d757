// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "core/foot/window.h"
#include "core/output/table.h"
#include "core/session/session.h"

namespace moundwork::output {

/// One plate around one throw as a table of its own, with its own times: time, force_x, force_y,
/// force_z, cop_x, cop_y and, for the plate under the foot whose line is given, heel_toe. Lab
/// frame, SI, tared, not filtered. Rows within a gap of the recording have a time and nothing else.
/// The centre of pressure is there where the vertical force reaches the settings' least_cop_force.
[[nodiscard]] Table trace_table(const foot::PlateWindow& window,
                                const std::optional<session::FootLine>& foot_line,
                                const definitions::Settings& settings);

}  // namespace moundwork::output
