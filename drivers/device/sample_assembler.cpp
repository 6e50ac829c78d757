// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/sample_assembler.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace moundwork::drivers {

SampleAssembler::SampleAssembler(AssemblerSettings settings)
    : settings_(settings), ticks_per_row_(settings.tick_rate / settings.sample_rate) {
  if (settings.channels < 1 || !(settings.sample_rate > 0.0) ||
      !(settings.tick_rate >= settings.sample_rate) || settings.counter_bits < 1 ||
      settings.counter_bits > 63)
    throw std::invalid_argument("an assembler needs channels, rates and a counter of 1 to 63 bits");
}

void SampleAssembler::follow_on(DeviceTicks next, SessionTime last_arrival) {
  next_ticks_ = static_cast<double>(static_cast<std::int64_t>(next));
  last_arrival_ = last_arrival;
  least_delay_ = seconds(last_arrival) - next_ticks_ / settings_.tick_rate;
  started_ = true;
  interrupted_ = true;
}

void SampleAssembler::refused(const SampleBlock& block) {
  lost_rows_ += block.missing_before + block.rows;
  ++gaps_.gaps;
  gaps_.missing_rows += block.rows;
}

SampleAssembler::Place SampleAssembler::place_counted(std::uint64_t count,
                                                      SessionTime arrival) const {
  if (!started_) return {static_cast<std::int64_t>(count), 0, false};
  const double range = std::ldexp(1.0, settings_.counter_bits);
  const auto sent = static_cast<double>(count);
  // The host's clock tells how often the counter may have wrapped while nothing came.
  const double elapsed = interrupted_ ? (arrival - last_arrival_).count() : 0.0;
  const double expected = next_ticks_ + elapsed * settings_.tick_rate;
  double ticks = sent + range * std::round((expected - sent) / range);
  const double gap = ticks - next_ticks_;
  if (!interrupted_ && std::abs(gap) < 0.5 * ticks_per_row_) return {std::llround(ticks), 0, false};
  const double delay = seconds(arrival) - ticks / settings_.tick_rate - least_delay_;
  // In a running stream the rows before may all have been a late backlog, so a leap ahead is rows
  // lost; after an unplugging it is a counter that began anew.
  const double ahead = interrupted_ ? settings_.ahead : settings_.backlog;
  // A leap ahead makes the delay shorter than that of the row before: however long the computer had
  // stood still, rows of its backlog are lost and no counter began anew.
  const bool late = interrupted_ && delay >= settings_.backlog;
  const bool plausible = gap > -0.5 * ticks_per_row_ && delay > -ahead && !late;
  if (plausible) return {std::llround(ticks), std::llround(gap / ticks_per_row_), false};
  const auto by_clock = std::llround((arrival - last_arrival_).count() * settings_.sample_rate);
  return {static_cast<std::int64_t>(count), std::max<std::int64_t>(0, by_clock), true};
}

SampleAssembler::Place SampleAssembler::place(const DecodedSamples& samples,
                                              SessionTime arrival) const {
  if (samples.count) return place_counted(*samples.count, arrival);
  std::int64_t missing = samples.lost_before;
  if (started_ && interrupted_)
    missing += std::llround((arrival - last_arrival_).count() * settings_.sample_rate);
  return {std::llround(next_ticks_ + ticks_of(missing)), started_ ? missing : 0, false};
}

void SampleAssembler::push(const DecodedSamples& samples, SessionTime arrival, const Sink& sink) {
  const Place where = place(samples, arrival);
  const bool follows =
      started_ && !interrupted_ && where.missing == 0 && !where.reset && lost_rows_ == 0;
  if (!follows || block_.arrival != arrival) flush(sink);
  if (where.missing > 0) {
    ++gaps_.gaps;
    gaps_.missing_rows += where.missing;
  }
  if (where.reset) ++gaps_.resets;

  if (block_.rows == 0) {
    block_.ticks = DeviceTicks{where.ticks};
    block_.arrival = arrival;
    block_.missing_before = where.missing + lost_rows_;
    lost_rows_ = 0;
    block_.values.clear();
  }
  block_.values.insert(block_.values.end(), samples.values.begin(), samples.values.end());
  block_.rows += samples.rows;

  next_ticks_ = static_cast<double>(where.ticks) + ticks_of(samples.rows);
  const double delay = seconds(arrival) - static_cast<double>(where.ticks) / settings_.tick_rate;
  // A slow counter falls behind the host's clock for ever, so the least delay must be able to rise:
  // 500 ppm is beyond any crystal.
  const double risen = least_delay_ + 500e-6 * (arrival - last_arrival_).count();
  least_delay_ = started_ && !where.reset ? std::min(risen, delay) : delay;
  last_arrival_ = arrival;
  started_ = true;
  interrupted_ = false;
}

void SampleAssembler::flush(const Sink& sink) {
  if (block_.rows == 0) return;
  sink(block_);
  block_.rows = 0;
  block_.values.clear();
}

}  // namespace moundwork::drivers
