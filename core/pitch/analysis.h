// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/ball/release.h"
#include "core/base/result.h"
#include "core/pitch/settings.h"
#include "core/pitch/throw_data.h"
#include "core/pitch/uncertainty.h"
#include "core/session/reader.h"
#include "core/session/results.h"

namespace moundwork::pitch {

/// One throw, measured.
struct AnalysedThrow {
  int number = 0;  ///< from 1 in order of time
  EventTimes events{};
  QuantityValues quantities{};
  Uncertainty uncertainty;
  ball::Release release;
  std::vector<session::ResultFlag> flags;

  [[nodiscard]] Measured measured(Event event) const;
  [[nodiscard]] Measured measured(Quantity quantity) const;
};

struct Analysis {
  std::vector<AnalysedThrow> throws;
  std::vector<session::ResultFlag> remarks;  ///< about the session as a whole
};

/// Told how much is done, 0 to 1; false stops the analysis.
using Progress = std::function<bool(double)>;

/// Finds and measures every throw of a session. Memory stays that of its coarse traces and of one
/// throw's window, whatever the session's length.
[[nodiscard]] Result<Analysis> analyse(const session::Reader& reader, const Settings& settings,
                                       const Progress& progress = {});

/// As stored beside the raw data; `made` is the wall time in ISO 8601.
[[nodiscard]] session::ResultSet to_results(const Analysis& analysis, const Settings& settings,
                                            const std::string& made);

}  // namespace moundwork::pitch
