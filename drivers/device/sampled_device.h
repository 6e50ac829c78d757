// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <memory>

#include "drivers/codec/sample_codec.h"
#include "drivers/device/block_queue.h"
#include "drivers/device/link.h"
#include "drivers/device/sample_assembler.h"

namespace moundwork::drivers {

struct QueueSizes {
  std::size_t blocks =
      4096;  ///< to the recorder; a block is one read, rarely more than 200 a second
  std::size_t live_blocks = 1024;    ///< to who measures throws, which may drop
  std::size_t display_blocks = 256;  ///< to the screen, which may drop
};

/// A sampled instrument at work: link, codec and assembler on one thread, and a queue to each of
/// its three consumers. A slow consumer never holds up the reading.
class SampledDevice {
 public:
  SampledDevice(std::string name, std::unique_ptr<Transport> transport,
                std::unique_ptr<SampleCodec> codec, const AssemblerSettings& settings,
                HostClock clock, QueueSizes sizes = {}, LinkSettings link = {});

  /// Before start(): see SampleAssembler.
  void follow_on(DeviceTicks next, SessionTime last_arrival) {
    assembler_.follow_on(next, last_arrival);
  }
  void start() { link_.start(); }
  void stop() { link_.stop(); }

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] BlockQueue& to_recorder() { return to_recorder_; }
  [[nodiscard]] BlockQueue& to_live() { return to_live_; }
  /// Only fed while somebody looks.
  [[nodiscard]] BlockQueue& to_display() { return to_display_; }
  void show(bool on) { shown_ = on; }
  [[nodiscard]] const DeviceHealth& health() const { return health_; }
  [[nodiscard]] std::string last_failure() const { return link_.last_failure(); }

 private:
  void take(Bytes bytes, SessionTime arrival);
  void hand_on(const SampleBlock& block);
  void publish();

  std::string name_;
  std::unique_ptr<SampleCodec> codec_;
  SampleAssembler assembler_;
  BlockQueue to_recorder_;
  BlockQueue to_live_;
  BlockQueue to_display_;
  std::atomic<bool> shown_{false};
  DeviceHealth health_;
  Link link_;  // last: its thread must end before what it uses
};

}  // namespace moundwork::drivers
