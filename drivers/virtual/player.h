// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/session/file_lock.h"
#include "core/session/reader.h"
#include "drivers/codec/plate_frame.h"
#include "drivers/kinds/station_words.h"
#include "drivers/virtual/port.h"

namespace moundwork::drivers {

struct PlayerSettings {
  double speed = 1.0;  ///< session seconds per second
  double from = 0.0;   ///< session time to begin at, s
};

/// Plays a session file as the devices that might have sent it: a virtual port for each sampled
/// device (binary plate frames) and one for each instrument that sends events, each byte at its own
/// time of arrival.
class Player {
 public:
  /// Makes the ports as links in `folder` (made if need be), named by port_name(), and a station
  /// file "station.toml" that describes them. Refused while another player is at work there: its
  /// readers would be left with ports that have no name.
  [[nodiscard]] static Result<Player> open(const std::filesystem::path& session,
                                           const std::filesystem::path& folder,
                                           PlayerSettings settings = {});

  /// Sends what is due at `time` after the start of playing. False: the session is over and the
  /// readers have taken all of it.
  [[nodiscard]] Result<bool> play_until(std::chrono::duration<double> time);
  [[nodiscard]] const session::Session& session() const { return reader_.session(); }

 private:
  struct Channel {
    std::size_t device = 0;  // index in the session
    VirtualPort port;
    std::vector<session::Block> blocks;
    std::size_t next_block = 0;
    std::uint32_t sequence = 0;
  };
  struct Lines {
    VirtualPort port;
    std::vector<session::InstrumentEvent> events;
    std::size_t next = 0;
  };
  Player(session::Reader reader, PlayerSettings settings)
      : reader_(std::move(reader)), settings_(settings) {}
  [[nodiscard]] Result<void> send(Channel& channel, const session::Block& block, std::int64_t end);

  std::optional<session::FileLock> lock_;  // on the station file
  session::Reader reader_;
  PlayerSettings settings_;
  std::vector<Channel> channels_;
  std::vector<Lines> lines_;
};

}  // namespace moundwork::drivers
