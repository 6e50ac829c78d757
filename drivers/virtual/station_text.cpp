// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/virtual/station_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "drivers/virtual/player.h"

namespace moundwork::drivers {
namespace {

std::string point(const Eigen::Vector3d& p) {
  return fmt::format("[{:.17g}, {:.17g}, {:.17g}]", p.x(), p.y(), p.z());
}

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

std::string measured(const char* key, const Measured& measured, const char* unit) {
  return fmt::format("{0} = \"{1:.17g} {3}\"\n{0}_u = \"{2:.17g} {3}\"\n", key, measured.value,
                     measured.u, unit);
}

std::string device_text(const session::Device& device) {
  std::string text = fmt::format(
      "\n[[device]]\nname = \"{}\"\nport = {{kind = \"stream\", path = \"{}\"}}\nformat = {{kind = "
      "\"frames\"}}\nsample_rate = \"{:.17g} Hz\"\ntick_rate = \"{:.17g} Hz\"\n",
      device.name, port_name(device.name), device.sample_rate, device.tick_rate);
  text += measured("delay", device.delay, "s");
  for (const session::Channel& channel : device.channels) text += channel_text(channel);
  return text;
}

std::string plate_text(const session::Plate& plate, const session::Session& session) {
  const session::Device& device = session.devices[static_cast<std::size_t>(plate.device)];
  std::vector<std::string> channels;
  for (const int channel : plate.channels)
    channels.push_back('"' + device.channels[static_cast<std::size_t>(channel)].name + '"');
  const plate::PlateDescription& d = plate.description;
  std::string text = fmt::format(
      "\n[[plate]]\nrole = \"{}\"\ndevice = \"{}\"\nchannels = [{}]\ntype = {}\norigin = {}\n"
      "corners = [{}, {}, {}, {}]\nreaction_sign = {}\n",
      plate.role == session::PlateRole::back ? "back" : "lead", device.name,
      fmt::join(channels, ", "), static_cast<int>(d.type), point(d.origin), point(d.corners[0]),
      point(d.corners[1]), point(d.corners[2]), point(d.corners[3]), d.reaction_sign);
  if (!d.sensitivity.isIdentity(0.0)) {
    std::vector<std::string> rows;
    for (Eigen::Index i = 0; i < d.sensitivity.rows(); ++i) {
      std::vector<std::string> cells;
      for (Eigen::Index j = 0; j < d.sensitivity.cols(); ++j)
        cells.push_back(fmt::format("{:.17g}", d.sensitivity(i, j)));
      rows.push_back(fmt::format("[{}]", fmt::join(cells, ", ")));
    }
    text += fmt::format("sensitivity = [{}]\n", fmt::join(rows, ", "));
  }
  const session::PlateAccuracy& a = plate.accuracy;
  text += fmt::format(
      "accuracy = {{gain = {:.17g}, crosstalk = {:.17g}, zero_force = \"{:.17g} N\", cop = "
      "\"{:.17g} m\"}}\n",
      a.gain, a.crosstalk, a.zero_force, a.cop);
  return text;
}

std::string radar_text(const session::Radar& radar) {
  return "\n[radar]\nport = {kind = \"stream\", path = \"radar\"}\n"
         "pattern = \"{direction} {speed} {unit}\"\ntoward = [\"R\"]\naway = [\"B\"]\n"
         "stands = \"behind_catcher\"\n" +
         fmt::format("position = {}\nband = \"{:.17g} Hz\"\nresolution = \"{:.17g} m/s\"\n",
                     point(radar.position), radar.band, radar.resolution) +
         measured("delay", radar.delay, "s") +
         measured("detection_distance", radar.detection_distance, "m") +
         fmt::format("speed_bias_u = \"{:.17g} m/s\"\n", radar.speed_bias.u);
}

std::string channel_of(const session::Session& session, int device, int channel) {
  const session::Device& described = session.devices[static_cast<std::size_t>(device)];
  return fmt::format("device = \"{}\"\nchannel = \"{}\"\n", described.name,
                     described.channels[static_cast<std::size_t>(channel)].name);
}

}  // namespace

std::string station_text(const session::Session& session, double pace) {
  std::string text = fmt::format(
      "# Virtual devices: the ports are in this folder.\nname = "
      "\"virtual station\"\nsurface = \"{}\"\n",
      session.conditions.surface);
  if (pace != 1.0) text += fmt::format("pace = {:.17g}\n", pace);
  if (session.radar) text += radar_text(*session.radar);
  if (session.microphone) {
    const session::CatchMicrophone& m = *session.microphone;
    text += "\n[catch_microphone]\n" + channel_of(session, m.device, m.channel) +
            measured("flight_distance", m.flight_distance, "m") +
            measured("sound_distance", m.sound_distance, "m");
  }
  if (session.trigger) {
    const session::Trigger& t = *session.trigger;
    text +=
        "\n[trigger]\n" + channel_of(session, t.device, t.channel) + measured("lag", t.lag, "s");
  }
  for (const session::Device& device : session.devices) text += device_text(device);
  for (const session::Plate& plate : session.plates) text += plate_text(plate, session);
  return text;
}

}  // namespace moundwork::drivers
