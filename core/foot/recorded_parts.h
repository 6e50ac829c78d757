// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/session/sample_clock.h"

namespace moundwork::foot {

/// A time in which any plate recorded, without a long pause.
struct RecordedPart {
  SessionTime begin{};
  SessionTime end{};
};

/// s without a sample that part a recording in two, as when it is gone on with on another day or
/// after the computer's clock was set right: each part is gone through by itself.
inline constexpr double between_parts = 3600.0;

/// The parts of a recording by its plates' clocks, in order. Fails on a clock whose times are no
/// numbers; `where` names the recording.
[[nodiscard]] Result<std::vector<RecordedPart>> recorded_parts(
    const std::vector<const session::SampleClock*>& clocks, const std::string& where);

}  // namespace moundwork::foot
