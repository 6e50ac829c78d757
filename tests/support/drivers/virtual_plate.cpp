// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/drivers/virtual_plate.h"

#include <fmt/format.h>

#include <stdexcept>

namespace moundwork::support {

using namespace std::chrono_literals;

VirtualPlate::VirtualPlate(std::filesystem::path link, VirtualPlateSettings settings)
    : link_(std::move(link)), settings_(settings), began_(std::chrono::steady_clock::now()) {
  plug();
  thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
}

VirtualPlate::~VirtualPlate() = default;

void VirtualPlate::plug() {
  auto port = drivers::VirtualPort::open(link_);
  if (!port) throw std::runtime_error(port.error().sentence());
  const std::lock_guard lock(mutex_);
  port_.emplace(std::move(*port));
}

void VirtualPlate::unplug() {
  const std::lock_guard lock(mutex_);
  port_.reset();
}

void VirtualPlate::restart() {
  const std::lock_guard lock(mutex_);
  row_ = 0;
  began_ = std::chrono::steady_clock::now();
}

void VirtualPlate::run(const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    {
      const std::lock_guard lock(mutex_);
      const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - began_;
      const auto due = static_cast<std::int64_t>(elapsed.count() * settings_.rate);
      while (row_ + settings_.rows_per_frame <= due) send_frame();
      if (port_) port_->write({});  // what a late reader left
    }
    std::this_thread::sleep_for(2ms);
  }
}

drivers::PlateFrame numbered_frame(std::int64_t first_row, std::uint32_t sequence,
                                   const VirtualPlateSettings& settings) {
  drivers::PlateFrame frame;
  frame.sequence = sequence;
  frame.ticks = settings.first_ticks + static_cast<std::uint32_t>(static_cast<std::int64_t>(
                                           static_cast<double>(first_row) * 1e6 / settings.rate));
  frame.rows = settings.rows_per_frame;
  frame.channels = settings.channels;
  for (int r = 0; r < frame.rows; ++r)
    for (int c = 0; c < frame.channels; ++c)
      frame.samples.push_back(static_cast<std::int32_t>(64 * (first_row + r) + c));
  return frame;
}

void VirtualPlate::send_frame() {
  const drivers::PlateFrame frame = numbered_frame(row_, sequence_++, settings_);
  row_ += frame.rows;
  if (!port_) return;
  if (skip_ > 0) {
    --skip_;
    return;
  }
  auto bytes = drivers::encode(frame, drivers::SampleWidth::four_bytes);
  if (corrupt_ > 0) {
    --corrupt_;
    bytes[bytes.size() / 2] ^= 0x15U;
    if (bytes[bytes.size() / 2] == 0) bytes[bytes.size() / 2] = 0x33;
  }
  if (port_->write(bytes) == bytes.size()) rows_sent_ += frame.rows;
}

std::string virtual_station_text(double rate) {
  std::string text = "name = \"bench\"\n";
  text += R"(
[radar]
port = {kind = "stream", path = "radar"}
pattern = "{speed} {unit}"
stands = "behind_catcher"
position = [20.0, 0.0, 1.0]
band = "24.125 GHz"
)";
  for (const char* name : {"back", "lead"}) {
    text += fmt::format(
        "[[device]]\nname = \"{0}\"\nport = {{kind = \"stream\", path = \"{0}\"}}\n"
        "format = {{kind = \"frames\"}}\nsample_rate = \"{1} Hz\"\ntick_rate = \"1000 kHz\"\n",
        name, rate);
    for (const char* channel : {"Fx", "Fy", "Fz"})
      text +=
          fmt::format("[[device.channel]]\nname = \"{}\"\nunit = \"N\"\nscale = 0.01\n", channel);
    for (const char* channel : {"Mx", "My", "Mz"})
      text += fmt::format("[[device.channel]]\nname = \"{}\"\nunit = \"N m\"\nscale = 0.001\n",
                          channel);
  }
  for (const auto& [role, x] : {std::pair{"back", 0.0}, std::pair{"lead", 1.2}}) {
    text += fmt::format(
        "[[plate]]\nrole = \"{0}\"\ndevice = \"{0}\"\n"
        "channels = [\"Fx\", \"Fy\", \"Fz\", \"Mx\", \"My\", \"Mz\"]\ntype = 2\n"
        "corners = [[{2}, -0.3, 0.0], [{1}, -0.3, 0.0], [{1}, 0.3, 0.0], [{2}, 0.3, 0.0]]\n",
        role, x, x + 0.6);
  }
  return text;
}

}  // namespace moundwork::support
