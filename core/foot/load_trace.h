// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <vector>

#include "core/base/progress.h"
#include "core/base/result.h"
#include "core/session/row_source.h"
#include "core/session/sample_clock.h"

namespace moundwork::foot {

/// Seconds of a trace's bins: short beside everything that tells a throw from a step.
inline constexpr double trace_bin = 0.005;

/// What one plate carried, coarsely: means over bins of `trace_bin` s on the session clock, not
/// tared. A two-hour session is 1.4 million bins, so whole sessions fit where their samples do not.
struct LoadTrace {
  SessionTime start{};
  Eigen::ArrayXf vertical;  ///< N, lab z; NaN where no sample fell into the bin
  Eigen::ArrayXf forward;   ///< N, lab x

  [[nodiscard]] Eigen::Index size() const { return vertical.size(); }
  [[nodiscard]] SessionTime end() const {
    return start + Seconds(static_cast<double>(size()) * trace_bin);
  }
  [[nodiscard]] double time(Eigen::Index bin) const {
    return seconds(start) + (static_cast<double>(bin) + 0.5) * trace_bin;
  }
};

/// Streams a plate's samples through once. The trace starts at `start`, whatever the plate's first
/// sample, and ends at `end`: what lies outside is not read. Fails with a sentence when the file
/// cannot be read or `progress` said stop.
[[nodiscard]] Result<LoadTrace> trace_load(const session::RowSource& reader,
                                           const session::Plate& plate,
                                           const session::SampleClock& clock, SessionTime start,
                                           SessionTime end, const Progress& progress);
/// The same of several plates on one device, whose samples are read once: traces as `plates`.
[[nodiscard]] Result<std::vector<LoadTrace>> trace_loads(
    const session::RowSource& reader, const std::vector<const session::Plate*>& plates,
    const session::SampleClock& clock, SessionTime start, SessionTime end,
    const Progress& progress);

}  // namespace moundwork::foot
