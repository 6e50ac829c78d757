// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/station_words.h"

#include <fmt/format.h>

#include <algorithm>

namespace moundwork::drivers {

std::string port_name(const std::string& instrument) {
  std::string name = instrument;
  std::replace(name.begin(), name.end(), ' ', '-');
  return name;
}

std::string port_words(const std::string& instrument) {
  return fmt::format("port = {{kind = \"stream\", path = \"{}\"}}\n", port_name(instrument));
}

std::string point_words(const Eigen::Vector3d& point) {
  return fmt::format("[{:.17g}, {:.17g}, {:.17g}]", point.x(), point.y(), point.z());
}

std::string measured_words(const char* key, const Measured& measured, const char* unit) {
  return fmt::format("{0} = \"{1:.17g} {3}\"\n{0}_u = \"{2:.17g} {3}\"\n", key, measured.value,
                     measured.u, unit);
}

std::string channel_words(const session::Session& session, int device, int channel) {
  const session::Device& described = session.devices[static_cast<std::size_t>(device)];
  return fmt::format("device = \"{}\"\nchannel = \"{}\"\n", described.name,
                     described.channels[static_cast<std::size_t>(channel)].name);
}

}  // namespace moundwork::drivers
