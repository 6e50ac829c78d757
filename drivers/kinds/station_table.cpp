// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/kinds/station_table.h"

#include <algorithm>

namespace moundwork::drivers {

using session::Session;
using table::Section;

namespace {

/// A device's name is a group's name in the session file and part of paths there.
bool is_plain_name(const std::string& name) {
  return !name.empty() && name.size() <= 40 && std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ' ||
           c == '_' || c == '-';
  });
}

}  // namespace

void check_name(const Section& section, const std::string& name, const Session& session,
                const std::vector<EventPort>& events) {
  if (section.has("name") && !is_plain_name(name))
    section.fault_at("name", "is not made of 1 to 40 letters, digits, blanks, '-' and '_'");
  const auto is_taken = [&](const auto& other) { return other.name == name; };
  if (std::any_of(session.devices.begin(), session.devices.end(), is_taken) ||
      std::any_of(events.begin(), events.end(), is_taken))
    section.fault_at("name", "is taken by another device");
}

Measured measured(const Section& section, const std::string& key, Dimension dimension) {
  return {section.quantity(key, dimension, true).value_or(0.0),
          section.quantity(key + "_u", dimension, true).value_or(0.0)};
}

int device_index(const Section& section, const Session& session) {
  const std::string name = section.needed_text("device");
  for (std::size_t i = 0; i < session.devices.size(); ++i)
    if (session.devices[i].name == name) return static_cast<int>(i);
  if (!name.empty()) section.fault_at("device", "names '" + name + "', which is no [[device]]");
  return -1;
}

int channel_index(const Section& section, std::string_view key, const Session& session, int device,
                  const std::string& name) {
  if (device < 0) return 0;
  const auto& channels = session.devices[static_cast<std::size_t>(device)].channels;
  for (std::size_t i = 0; i < channels.size(); ++i)
    if (channels[i].name == name) return static_cast<int>(i);
  section.fault_at(key, "names '" + name + "', which is no channel of the device");
  return 0;
}

}  // namespace moundwork::drivers
