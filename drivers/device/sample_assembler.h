// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <optional>

#include "core/time/session_clock.h"
#include "drivers/codec/sample_codec.h"
#include "drivers/device/block_queue.h"

namespace moundwork::drivers {

struct AssemblerSettings {
  int channels = 1;
  double sample_rate = 1000.0;  ///< Hz
  double tick_rate = 1000.0;    ///< counter steps per second
  int counter_bits = 32;        ///< of the device's counter
  /// A count may be ahead of the host's clock by this much (s) after an unplugging:
  /// 0.1 s is far beyond any clock's drift between two reads.
  double ahead = 0.1;
  /// Longest backlog (s) that a device or driver may hold back and then deliver.
  double backlog = 30.0;
};

struct GapCounts {
  std::int64_t gaps = 0;          ///< stretches of lost rows
  std::int64_t missing_rows = 0;  ///< lost in them; after a reset estimated from the host's clock
  std::int64_t resets = 0;        ///< the counter began anew
};

/// Puts decoded samples into blocks: unwraps the counter, finds lost rows by it, joins what came
/// together and is without a gap. It never makes up a row.
class SampleAssembler {
 public:
  using Sink = std::function<void(const SampleBlock&)>;
  explicit SampleAssembler(AssemblerSettings settings);

  /// `arrival`: when the bytes of these samples were read; never earlier than the call before.
  void push(const DecodedSamples& samples, SessionTime arrival, const Sink& sink);
  /// Gives out the block at hand: once per read, so that a block holds one arrival.
  void flush(const Sink& sink);
  /// Goes on after rows recorded before this program started: `next` is the counter expected had
  /// there been no break, `last_arrival` when the last of them came. Before the first push.
  void follow_on(DeviceTicks next, SessionTime last_arrival);
  /// The device was lost and found again: the next row is not taken as following the last one.
  void interrupted() { interrupted_ = true; }
  /// The sink could not pass this block on: its rows show as missing before the next one.
  void refused(const SampleBlock& block);
  [[nodiscard]] const GapCounts& gaps() const { return gaps_; }

 private:
  struct Place {
    std::int64_t ticks = 0;
    std::int64_t missing = 0;
    bool reset = false;
  };
  [[nodiscard]] Place place(const DecodedSamples& samples, SessionTime arrival) const;
  [[nodiscard]] Place place_counted(std::uint64_t count, SessionTime arrival) const;
  [[nodiscard]] double ticks_of(std::int64_t rows) const {
    return static_cast<double>(rows) * ticks_per_row_;
  }

  AssemblerSettings settings_;
  double ticks_per_row_;
  SampleBlock block_;  // rows 0: none at hand
  bool started_ = false;
  bool interrupted_ = false;
  double next_ticks_ = 0.0;  // unwrapped counter expected at the next row
  SessionTime last_arrival_{};
  double least_delay_ = 0.0;  // least arrival minus counter time since the last reset, s
  std::int64_t lost_rows_ = 0;
  GapCounts gaps_;
};

}  // namespace moundwork::drivers
