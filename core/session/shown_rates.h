// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/session/results.h"
#include "core/session/session.h"

namespace moundwork::session {

/// What a recording itself shows of the rates that its device states. NaN where it is too short
/// (6 s) or the device was not captured live, so that arrivals say nothing.
struct ShownRates {
  std::string device;                                           ///< its name
  double stated_tick_rate = 0.0, stated_sample_rate = 0.0;      ///< Hz, as described
  double tick_rate = std::numeric_limits<double>::quiet_NaN();  ///< Hz, by the computer's clock
  double ticks_per_sample =
      std::numeric_limits<double>::quiet_NaN();  ///< over all blocks without a gap between them
  bool beyond_crystal = false;    ///< the counter's rate is further off than a fit about it follows
  bool ticks_disagree = false;    ///< the counter with the computer's clock
  bool samples_disagree = false;  ///< the samples with the counter
  [[nodiscard]] double sample_rate() const { return tick_rate / ticks_per_sample; }
};

/// A fit follows a crystal's error; what lies ten times beyond any crystal's is a rate stated
/// wrongly or a clock that is broken. Lost samples, leaps and resets do not disturb. `rows`:
/// samples in the device's table.
[[nodiscard]] ShownRates shown_rates(const Device& device, std::span<const Block> blocks,
                                     Eigen::Index rows);

/// The flag that says what disagrees, with the numbers; nothing where all agrees.
[[nodiscard]] std::optional<ResultFlag> clock_doubt(const ShownRates& shown);

}  // namespace moundwork::session
