// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <string>

#include "app/desk/prepare/station_text.h"

namespace moundwork::desk {
namespace {

constexpr const char* beginning =
    R"(# The instruments of this place. Lengths in metres in the lab frame: x from the rubber toward
# home plate, y to the left of someone facing home (first-base side), z up; the origin is the middle
# of the rubber's front edge, at its top. Every number with "measure" or "data sheet" beside it is
# an example until you put your own there.
name = "new station"
surface = "mound"
)";

// {0} name, {1} port, {2} its channels.
constexpr const char* device = R"(
[[device]]
name = "{0}"
port = {{kind = "serial", name = "{1}", baud = 921600}}  # choose: which port it is plugged into
format = {{kind = "frames"}}
sample_rate = "1000 Hz"  # data sheet
tick_rate = "1000 kHz"   # data sheet: steps a second of the counter sent with the samples
delay = "1.5 ms"         # data sheet: from sampling to arrival here
delay_u = "0.5 ms"
{2})";

// {0} name, {1} unit, {2} scale.
constexpr const char* channel = R"(  [[device.channel]]
  name = "{0}"
  unit = "{1}"
  scale = {2}  # calibration sheet: {1} a count
)";

std::string channels() {
  std::string text;
  for (const char* name : {"Fx", "Fy", "Fz"})
    text += fmt::format(fmt::runtime(channel), name, "N", "0.001");
  for (const char* name : {"Mx", "My", "Mz"})
    text += fmt::format(fmt::runtime(channel), name, "N m", "0.0005");
  return text;
}

// The lead plate lies on a mound that falls 1 in a foot, 1.15 m to 2.05 m from the rubber:
// z = -(x - 0.1524 m) / 12, the slope beginning 6 in before the rubber (rules of the game, from
// memory).
constexpr const char* places = R"(
# Corners: the quadrants +x+y, -x+y, -x-y, +x-y of the plate's own axes, measured in the lab frame.
# Where a foot has several plates, each is a [[plate]] of its own with the same role.
[[plate]]
role = "back"
device = "back plate"
channels = ["Fx", "Fy", "Fz", "Mx", "My", "Mz"]
type = 2
origin = [0.0, 0.0, -0.04]  # data sheet
corners = [[0.5, -0.3, 0.0], [-0.1, -0.3, 0.0], [-0.1, 0.3, 0.0], [0.5, 0.3, 0.0]]  # measure
accuracy = {gain = 0.002, crosstalk = 0.003, zero_force = "0.5 N", cop = "1.5 mm"}  # calibration

[[plate]]
role = "lead"
device = "lead plate"
channels = ["Fx", "Fy", "Fz", "Mx", "My", "Mz"]
type = 2
origin = [0.0, 0.0, -0.04]  # data sheet
corners = [[2.05, -0.3, -0.1581], [1.15, -0.3, -0.0831], [1.15, 0.3, -0.0831], [2.05, 0.3, -0.1581]]
accuracy = {gain = 0.002, crosstalk = 0.003, zero_force = "0.5 N", cop = "1.5 mm"}  # calibration

[radar]
port = {kind = "serial", name = "/dev/ttyUSB2", baud = 9600}  # choose
pattern = "{direction} {speed} {unit}"  # the line it prints
toward = ["IN"]
away = ["OUT"]
stands = "behind_catcher"
position = [20.5, 0.0, 1.2]  # measure
band = "24.125 GHz"          # data sheet
resolution = "0.1 mph"       # the step of its display
delay = "80 ms"              # measure: from the ball's passing to the line's arrival
delay_u = "5 ms"
detection_distance = "3 m"   # from the release to where it takes the speed
detection_distance_u = "0.4 m"
speed_bias_u = "0.1 m/s"     # as the tuning-fork check leaves it
)";

}  // namespace

std::string new_station_text() {
  return beginning + fmt::format(fmt::runtime(device), "back plate", "/dev/ttyUSB0", channels()) +
         fmt::format(fmt::runtime(device), "lead plate", "/dev/ttyUSB1", channels()) + places;
}

}  // namespace moundwork::desk
