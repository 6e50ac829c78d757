// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/event_device.h"

#include <utility>

namespace moundwork::drivers {

EventDevice::EventDevice(std::string kind, std::string name, std::unique_ptr<Transport> transport,
                         std::unique_ptr<EventCodec> codec, HostClock clock, LinkSettings link)
    : kind_(std::move(kind)),
      name_(std::move(name)),
      codec_(std::move(codec)),
      link_(std::move(transport), clock,
            {[this](Bytes bytes, SessionTime arrival) { take(bytes, arrival); },
             [this] { codec_->reset(); }, [this] { codec_->idle(); }},
            health_, link) {}

void EventDevice::take(Bytes bytes, SessionTime arrival) {
  codec_->push(bytes, [&](session::InstrumentEvent&& event) {
    event.arrival = arrival;
    ++(queue_.push(event) ? health_.rows : health_.refused_rows);
    if (!live_.push(event)) ++health_.not_measured_rows;
  });
  health_.accepted = codec_->counts().events;
  health_.malformed = codec_->counts().other_lines;
}

}  // namespace moundwork::drivers
