// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <sys/types.h>

#include <Eigen/Core>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "core/session/session.h"
#include "support/folder.h"

namespace moundwork::test {

/// What stands on a plate: vertical force (N) at a place in the lab (m).
struct Standing {
  double force = 0.0;
  Eigen::Vector2d place{0.0, 0.0};
};

/// A made-up hour at a station: two level plates of 0.6 x 0.6 m, 1 kHz, middles at (0.3, 0) and
/// (1.5, 0); a microphone at 8 kHz; a radar.
struct StationScript {
  double length = 10.0;  ///< s
  std::function<Standing(session::PlateRole, double time)> load;
  std::function<double(double time)> sound;  ///< V; silence if not set
  std::vector<session::RadarReading> readings;
};

void write_script(const std::filesystem::path& path, const StationScript& script);

/// `moundwork simulate --devices` at work in a process of its own, until this goes.
class Playing {
 public:
  explicit Playing(const std::filesystem::path& session, double from = 0.0);
  explicit Playing(const StationScript& script);
  ~Playing();
  Playing(const Playing&) = delete;
  Playing& operator=(const Playing&) = delete;

  [[nodiscard]] std::string station() const { return (folder_ / "ports/station.toml").string(); }
  /// A path beside the ports.
  [[nodiscard]] std::string path(const std::string& name) const {
    return (folder_ / name).string();
  }

 private:
  void play(const std::filesystem::path& session, double from);
  support::Folder folder_;
  pid_t player_ = -1;
};

/// A command in a process of its own, to be killed.
[[nodiscard]] pid_t run_apart(const std::vector<std::string>& arguments);

}  // namespace moundwork::test
