// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <span>
#include <vector>

#include "core/base/result.h"
#include "core/session/session.h"
#include "core/session/shown_rates.h"
#include "core/time/clock_map.h"

namespace moundwork::session {

/// A device's clock from its blocks, each taken at its last sample; `rows` is the number of samples
/// in the device's table. A device that counts session time, or a table of fewer than two blocks,
/// was not captured live: its first block's arrival is then the time of its first sample, without
/// uncertainty.
[[nodiscard]] Result<ClockMap> fit_clock(const Device& device, std::span<const Block> blocks,
                                         std::int64_t rows);

/// Rows of a device's table without a gap between them.
struct Run {
  Eigen::Index first_row = 0;
  Eigen::Index rows = 0;
  double first_ticks = 0.0;
  SessionTime arrival{};            ///< of its first block, to tell counts after a reset apart
  std::int64_t missing_before = 0;  ///< samples lost between the last run and this one
};

/// When each row of a device's table was sampled, by its own counter and the fitted clock map.
class SampleClock {
 public:
  /// `rows`: samples in the device's table.
  [[nodiscard]] static Result<SampleClock> make(const Device& device,
                                                const std::vector<Block>& blocks,
                                                Eigen::Index rows);

  [[nodiscard]] const std::vector<Run>& runs() const { return runs_; }
  [[nodiscard]] SessionTime at(const Run& run, Eigen::Index row) const;
  /// Session seconds from one sample to the next about this row.
  [[nodiscard]] double step(const Run& run, Eigen::Index row) const;
  /// First row at or after a time; the number of rows if there is none.
  [[nodiscard]] Eigen::Index row_at(SessionTime time) const;
  [[nodiscard]] SessionTime begin() const;
  [[nodiscard]] SessionTime end() const;  ///< one step after the last sample
  [[nodiscard]] double u() const { return map_.u(); }
  [[nodiscard]] const ClockMap& map() const { return map_; }
  /// Whether the recording shows the rates that the device states.
  [[nodiscard]] const ShownRates& shown_rates() const { return shown_rates_; }

 private:
  explicit SampleClock(ClockMap map) : map_(std::move(map)) {}
  ClockMap map_;
  ShownRates shown_rates_;
  double ticks_per_sample_ = 1.0;
  double nominal_step_ = 1.0;
  std::vector<Run> runs_;
  Eigen::Index rows_ = 0;
};

}  // namespace moundwork::session
