// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/session_example.h"

namespace moundwork::support {
namespace {

session::Device plate_device(const std::string& name) {
  session::Device device{name, session::SampleType::int32, 1000.0, 1e6, {0.002, 0.0005}, {}};
  for (const char* channel : {"Fx", "Fy", "Fz", "Mx", "My", "Mz"})
    device.channels.push_back({channel, "V", 1e-6, 5.0, -8388608, 8388607});
  return device;
}

session::Plate plate_at(session::PlateRole role, int device, double x) {
  session::Plate plate;
  plate.role = role;
  plate.device = device;
  plate.channels = {0, 1, 2, 3, 4, 5};
  plate.description.origin = {0.001, -0.002, -0.04};
  plate.description.corners = {
      Eigen::Vector3d{x + 0.3, -0.2, 0.0}, Eigen::Vector3d{x - 0.3, -0.2, 0.0},
      Eigen::Vector3d{x - 0.3, 0.2, 0.0}, Eigen::Vector3d{x + 0.3, 0.2, 0.0}};
  plate.description.sensitivity(0, 2) = 0.25;
  plate.accuracy = {0.002, 0.003, 0.5, 0.0015};
  return plate;
}

}  // namespace

session::Session example_session() {
  session::Session s;
  s.id = "5b9f7c6e-0000-4000-8000-000000000001";
  s.started = "2026-03-01T09:30:00Z";
  s.zone = {"Europe/Paris", 3600, false};
  s.origin = "example";
  s.athlete = {"A-01", "Mara Quill", session::Hand::left, {71.5, 0.1}, {1.78, 0.005}, "2004-05-06"};
  s.conditions = {{21.0, 0.5}, {100900.0, 50.0}, {0.45, 0.05}, "portable mound"};
  s.devices = {plate_device("back plate"),
               plate_device("lead plate"),
               {"microphone",
                session::SampleType::int16,
                8000.0,
                1e6,
                {0.0, 0.0},
                {{"sound", "V", 1e-4, 0.0, -32768, 32767}}}};
  s.plates = {plate_at(session::PlateRole::back, 0, -0.1),
              plate_at(session::PlateRole::lead, 1, 1.6)};
  s.radar = session::Radar{{-2.0, 0.1, 1.5}, 34.7e9, 0.05, {0.06, 0.004}, {2.0, 0.3}, {0.0, 0.05}};
  s.microphone = session::CatchMicrophone{2, 0, {16.9, 0.1}, {0.5, 0.05}};
  s.trigger = session::Trigger{0, 5, {0.001, 0.0005}};
  s.foot_line = session::FootLine{
      {0.05, 0.12, 0.0}, {0.05, -0.14, 0.01}, 0.002, session::FootLineSource::stances};
  s.known_releases = {{session_time(1.5), 0.002, "typed in"}};
  s.known_ball_speed = session::KnownBallSpeed{{36.2, 0.2}, "81 mph"};
  return s;
}

}  // namespace moundwork::support
