// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/station_text.h"

#include <fmt/format.h>

#include <cmath>

#include "drivers/kinds/list.h"
#include "drivers/kinds/station_words.h"

namespace moundwork::drivers {
namespace {

/// TOML keeps 1 for a whole number and 1.0 for a decimal one; either is read here.
std::string channel_text(const session::Channel& channel) {
  std::string text = fmt::format(
      "  [[device.channel]]\n  name = \"{}\"\n  unit = \"{}\"\n  scale = {:.17g}\n  offset = "
      "{:.17g}\n",
      channel.name, channel.unit, channel.scale, channel.offset);
  if (std::isfinite(channel.lowest)) text += fmt::format("  lowest = {:.17g}\n", channel.lowest);
  if (std::isfinite(channel.highest)) text += fmt::format("  highest = {:.17g}\n", channel.highest);
  return text;
}

std::string device_text(const session::Device& device) {
  std::string text = fmt::format(
      "\n[[device]]\nname = \"{}\"\nport = {{kind = \"stream\", path = \"{}\"}}\nformat = {{kind = "
      "\"frames\"}}\nsample_rate = \"{:.17g} Hz\"\ntick_rate = \"{:.17g} Hz\"\n",
      device.name, port_name(device.name), device.sample_rate, device.tick_rate);
  text += measured_words("delay", device.delay, "s");
  for (const session::Channel& channel : device.channels) text += channel_text(channel);
  return text;
}

}  // namespace

std::string station_text(const session::Session& session, double pace) {
  std::string text = fmt::format(
      "# Virtual devices: the ports are in this folder.\nname = "
      "\"virtual station\"\nsurface = \"{}\"\n",
      session.conditions.surface);
  if (pace != 1.0) text += fmt::format("pace = {:.17g}\n", pace);
  for (const session::Device& device : session.devices) text += device_text(device);
  for (const StationKind* kind : station_kinds()) text += kind->text(session);
  return text;
}

}  // namespace moundwork::drivers
