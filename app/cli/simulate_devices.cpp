// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/simulate_devices.h"

#include <atomic>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <iostream>
#include <thread>

#include "app/cli/progress.h"
#include "drivers/device/urgent.h"
#include "drivers/virtual/player.h"

namespace moundwork::cli {
namespace {

std::atomic<bool> ended{false};
void end(int) { ended = true; }

double length_of(const session::Reader& reader) {
  double length = 1.0;
  for (std::size_t d = 0; d < reader.session().devices.size(); ++d) {
    const auto blocks = reader.blocks(static_cast<int>(d));
    if (blocks && !blocks->empty()) length = std::max(length, seconds(blocks->back().arrival));
  }
  return length;
}

}  // namespace

Result<void> simulate_devices(const PlayOptions& options) {
  double length = 0.0;
  {
    const auto reader = session::Reader::open(options.session);
    if (!reader) return tl::make_unexpected(reader.error());
    length = length_of(*reader) - options.from;
  }
  auto player =
      drivers::Player::open(options.session, options.folder, {options.speed, options.from});
  if (!player) return tl::make_unexpected(player.error());
  std::cerr << "Ports and station.toml are in " << options.folder << "; record them with\n"
            << "  moundwork record --station "
            << (std::filesystem::path(options.folder) / "station.toml").string()
            << " --out NAME.h5 --mass " << player->session().athlete.mass.value << "kg\n";
  // Instruments do not wait for a busy computer.
  drivers::make_this_thread_urgent();
  ended = false;
  (void)std::signal(SIGINT, end);
  (void)std::signal(SIGTERM, end);
  const auto begun = std::chrono::steady_clock::now();
  ProgressLine line;
  bool more = true;
  while (more && !ended) {
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begun;
    const auto played = player->play_until(elapsed);
    if (!played) return tl::make_unexpected(played.error());
    more = *played;
    line.show(std::min(1.0, elapsed.count() * options.speed / length), options.session);
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  // What the kernel still holds would go with the ports.
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  return {};
}

}  // namespace moundwork::cli
