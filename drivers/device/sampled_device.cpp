// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/sampled_device.h"

namespace moundwork::drivers {

SampledDevice::SampledDevice(std::string name, std::unique_ptr<Transport> transport,
                             std::unique_ptr<SampleCodec> codec, const AssemblerSettings& settings,
                             HostClock clock, QueueSizes sizes, LinkSettings link)
    : name_(std::move(name)),
      codec_(std::move(codec)),
      assembler_(settings),
      to_recorder_(sizes.blocks),
      to_live_(sizes.live_blocks),
      to_display_(sizes.display_blocks),
      link_(std::move(transport), clock,
            {[this](Bytes bytes, SessionTime arrival) { take(bytes, arrival); },
             [this] {
               codec_->reset();
               assembler_.interrupted();
             },
             [] {}},
            health_, link) {}

void SampledDevice::take(Bytes bytes, SessionTime arrival) {
  const auto sink = [this](const SampleBlock& block) { hand_on(block); };
  codec_->push(bytes,
               [&](const DecodedSamples& samples) { assembler_.push(samples, arrival, sink); });
  assembler_.flush(sink);
  publish();
}

void SampledDevice::hand_on(const SampleBlock& block) {
  if (to_recorder_.try_push(block)) {
    health_.rows += block.rows;
  } else {
    // Never silently: what did not fit is a gap before the next block that does.
    assembler_.refused(block);
    health_.refused_rows += block.rows;
  }
  if (!to_live_.try_push(block)) health_.not_measured_rows += block.rows;
  if (shown_ && !to_display_.try_push(block)) health_.not_displayed_rows += block.rows;
}

void SampledDevice::publish() {
  const CodecCounts& counts = codec_->counts();
  health_.accepted = counts.accepted;
  health_.bad_checksum = counts.bad_checksum;
  health_.malformed = counts.malformed;
  const GapCounts& gaps = assembler_.gaps();
  health_.gaps = gaps.gaps;
  health_.missing_rows = gaps.missing_rows;
  health_.resets = gaps.resets;
}

}  // namespace moundwork::drivers
