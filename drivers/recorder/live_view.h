// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <deque>
#include <limits>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "core/definitions/settings.h"
#include "core/plate/geometry.h"
#include "core/weigh_in/weigh_in.h"
#include "drivers/recorder/capture.h"

namespace moundwork::drivers {

struct LiveViewSettings {
  double kept = 30.0;  ///< s that can be looked back
  /// s of a bin. 200 a second are more than a screen shows of ten seconds, and their least and
  /// greatest keep every peak.
  double bin = 0.005;
  /// Limits of an empty plate (zero_...), and the least force of a centre of pressure.
  definitions::Settings analysis;
};

/// What a plate or foot carried during one bin: tared, lab frame. NaN in all where no sample came.
struct LiveBin {
  static constexpr float none = std::numeric_limits<float>::quiet_NaN();
  std::array<float, 3> force{none, none, none};     ///< N, mean of x, y, z
  std::array<float, 3> least{none, none, none};     ///< N
  std::array<float, 3> greatest{none, none, none};  ///< N
  std::array<float, 2> cop{none, none};  ///< m, lab x and y; NaN where the plate is hardly loaded
  float free_moment = none;              ///< N m; NaN with the centre of pressure
};

/// What is carried over some time, as it is shown.
struct LiveTrace {
  session::PlateRole role = session::PlateRole::back;
  /// Number of `bins.front()` since the beginning: a bin keeps its number and its samples, so what
  /// is drawn of it never changes.
  std::int64_t first_bin = 0;
  double start = 0.0;         ///< session time of bins.front()'s beginning, s; for display
  double bin = 0.0;           ///< s from one bin to the next
  std::vector<LiveBin> bins;  ///< whole bins, oldest first
  bool zeroed = false;        ///< whether an empty plate was seen; until then nothing is subtracted

  [[nodiscard]] double time(std::size_t i) const {
    return start + (static_cast<double>(i) + 0.5) * bin;
  }
  /// Mean over the last `span` s; NaN where nothing came.
  [[nodiscard]] LiveBin latest(double span = 0.1) const;
};

/// One plate as it is shown.
struct LivePlate : LiveTrace {
  plate::PlateFrame frame;     ///< where it lies
  double zero = 0.0;           ///< N of vertical force that are subtracted
  std::int64_t not_shown = 0;  ///< samples left out of the display alone; they are recorded
};

struct LiveSnapshot {
  double now = 0.0;               ///< session time, s
  std::vector<LivePlate> plates;  ///< as Session::plates
};

/// The last seconds of a recording for a screen: fed by the devices' display queues on a thread of
/// its own, which may fall behind without the recording noticing. One at a time for a capture.
class LiveView {
 public:
  /// `capture` must outlive this. Fails when a plate's description is none.
  [[nodiscard]] static Result<std::unique_ptr<LiveView>> begin(Capture& capture,
                                                               LiveViewSettings settings = {});
  ~LiveView();
  LiveView(const LiveView&) = delete;
  LiveView& operator=(const LiveView&) = delete;

  /// A copy of the last `span` s, from any thread; cheap enough for 60 a second.
  [[nodiscard]] LiveSnapshot snapshot(double span) const;

  /// Takes the next quarter of a second as every plate's zero, whatever lies on it.
  void tare() { ++tares_; }

  /// The last `span` s of every plate that delivered something, for weigh_in::body_mass and
  /// weigh_in::stance_point.
  [[nodiscard]] std::vector<weigh_in::Stand> stands(double span) const;

 private:
  struct Feed;  // a plate's samples on their way into bins
  LiveView(Capture& capture, LiveViewSettings settings);
  void run(const std::stop_token& stop);
  void take(std::size_t device);

  Capture& capture_;
  LiveViewSettings settings_;
  std::atomic<int> tares_{0};
  mutable std::mutex mutex_;  // guards feeds_
  std::vector<std::unique_ptr<Feed>> feeds_;
  std::jthread thread_;
};

}  // namespace moundwork::drivers
