// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/sample_clock.h"

#include <algorithm>
#include <cmath>

namespace moundwork::session {
namespace {

// As the blocks show it: samples counted on by a rate that is stated a little wrongly would soon
// lie beside their own counts, and look lost.
double ticks_per_sample_of(const Device& device, const ShownRates& shown) {
  return std::isfinite(shown.ticks_per_sample) ? shown.ticks_per_sample
                                               : device.tick_rate / device.sample_rate;
}

}  // namespace

Result<ClockMap> fit_clock(const Device& device, std::span<const Block> blocks, std::int64_t rows) {
  if (!(device.tick_rate > 0.0) || !(device.sample_rate > 0.0)) {
    return fail(device.name, "the sample rate or tick rate is not a positive number");
  }
  if (device.counts_session_time || blocks.size() < 2) {
    if (blocks.empty()) return ClockMap::nominal(device.tick_rate);
    if (!std::isfinite(seconds(blocks.front().arrival)))
      return fail(device.name, "an arrival time is not a number");
    return ClockMap::nominal(device.tick_rate, blocks.front().ticks, blocks.front().arrival);
  }
  const ShownRates shown = shown_rates(device, blocks, rows);
  const double ticks_per_sample = ticks_per_sample_of(device, shown);
  std::vector<Arrival> arrivals;
  arrivals.reserve(blocks.size());
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const std::int64_t end = i + 1 < blocks.size() ? blocks[i + 1].first_sample : rows;
    const std::int64_t count = std::max<std::int64_t>(1, end - blocks[i].first_sample);
    const auto last =
        static_cast<std::int64_t>(std::llround(static_cast<double>(count - 1) * ticks_per_sample));
    arrivals.push_back(
        {DeviceTicks{static_cast<std::int64_t>(blocks[i].ticks) + last}, blocks[i].arrival});
  }
  // About a rate that is stated too wrongly to be a crystal's error the fit would hold on to it.
  return fit_clock(arrivals, shown.beyond_crystal ? shown.tick_rate : device.tick_rate,
                   device.delay);
}

Result<SampleClock> SampleClock::make(const Device& device, const std::vector<Block>& blocks,
                                      Eigen::Index rows) {
  auto map = fit_clock(device, blocks, rows);
  if (!map) return tl::make_unexpected(map.error());
  SampleClock clock(std::move(*map));
  clock.shown_rates_ = session::shown_rates(device, blocks, rows);
  clock.ticks_per_sample_ = ticks_per_sample_of(device, clock.shown_rates_);
  clock.nominal_step_ = 1.0 / device.sample_rate;
  clock.rows_ = rows;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const Block& block = blocks[i];
    const Eigen::Index end = i + 1 < blocks.size() ? blocks[i + 1].first_sample : rows;
    const auto ticks = static_cast<double>(static_cast<std::int64_t>(block.ticks));
    bool continues = !clock.runs_.empty() && block.missing_before == 0;
    if (continues) {
      const Run& last = clock.runs_.back();
      const double expected =
          last.first_ticks + static_cast<double>(last.rows) * clock.ticks_per_sample_;
      // Counters step in whole ticks; half a sample off is a gap or a reset.
      continues = std::abs(ticks - expected) < 0.5 * clock.ticks_per_sample_;
    }
    if (continues)
      clock.runs_.back().rows = end - clock.runs_.back().first_row;
    else
      clock.runs_.push_back({block.first_sample, end - block.first_sample, ticks, block.arrival,
                             block.missing_before});
  }
  std::erase_if(clock.runs_, [](const Run& run) { return run.rows <= 0; });
  if (clock.runs_.empty()) return fail("device '" + device.name + "'", "holds no samples");
  return clock;
}

SessionTime SampleClock::at(const Run& run, Eigen::Index row) const {
  const double ticks =
      run.first_ticks + static_cast<double>(row - run.first_row) * ticks_per_sample_;
  return map_.at(ticks, run.arrival);
}

double SampleClock::step(const Run& run, Eigen::Index row) const {
  // Over a second, so that the map's rounding does not show.
  const auto stretch = static_cast<Eigen::Index>(std::max(1.0, 1.0 / nominal_step_));
  return (at(run, row + stretch) - at(run, row)).count() / static_cast<double>(stretch);
}

Eigen::Index SampleClock::row_at(SessionTime time) const {
  for (const Run& run : runs_) {
    const double ahead = (time - at(run, run.first_row)).count();
    if (ahead <= 0.0) return run.first_row;
    const double last = (time - at(run, run.first_row + run.rows - 1)).count();
    if (last > 0.0) continue;
    auto row = run.first_row + static_cast<Eigen::Index>(ahead / nominal_step_);
    row = std::clamp(row, run.first_row, run.first_row + run.rows - 1);
    while (row > run.first_row && at(run, row - 1) >= time) --row;
    while (row < run.first_row + run.rows - 1 && at(run, row) < time) ++row;
    return row;
  }
  return rows_;
}

SessionTime SampleClock::begin() const { return at(runs_.front(), runs_.front().first_row); }
SessionTime SampleClock::end() const {
  const Run& run = runs_.back();
  return at(run, run.first_row + run.rows);
}

}  // namespace moundwork::session
