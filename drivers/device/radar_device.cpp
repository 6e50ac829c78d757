// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/radar_device.h"

#include <limits>

namespace moundwork::drivers {

RadarDevice::RadarDevice(std::string name, std::unique_ptr<Transport> transport,
                         RadarLinePattern pattern, HostClock clock, LinkSettings link)
    : name_(std::move(name)),
      codec_(std::move(pattern)),
      link_(std::move(transport), clock,
            {[this](Bytes bytes, SessionTime arrival) {
               codec_.push(bytes, [&](const RadarLine& line) {
                 const double speed =
                     line.value ? line.value->speed : std::numeric_limits<double>::quiet_NaN();
                 const int direction = line.value ? line.value->direction : 0;
                 const session::RadarReading reading{arrival, speed, direction,
                                                     std::string(line.text)};
                 ++(queue_.push(reading) ? health_.rows : health_.refused_rows);
                 if (!live_.push(reading)) ++health_.not_measured_rows;
                 if (shown_ && !display_.push(reading)) ++health_.not_displayed_rows;
               });
               health_.accepted = codec_.counts().readings;
               health_.malformed = codec_.counts().other_lines;
             },
             [this] { codec_.reset(); }, [this] { codec_.idle(); }},
            health_, link) {}

}  // namespace moundwork::drivers
