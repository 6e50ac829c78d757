// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <deque>
#include <functional>
#include <optional>
#include <thread>
#include <vector>

#include "core/definitions/settings.h"
#include "core/pitch/analysed_throw.h"
#include "drivers/recorder/capture.h"
#include "drivers/recorder/kept_rows.h"

namespace moundwork::drivers {

struct LiveSettings {
  definitions::Settings analysis;
  /// s of samples kept in memory: a throw's window and, before it, a time when nobody stood on the
  /// plates, from which their zero is read.
  double kept = 60.0;
  /// A rise of the lead foot's vertical force by this many N within 50 ms may be a landing, on
  /// each of several plates its part of it; the analysis then tells whether it was one.
  double landing = 300.0;
  /// s to wait after the window's end for bytes that are still on their way.
  double settle = 0.05;
};

/// A throw found while recording.
struct LiveThrow {
  pitch::AnalysedThrow thrown;
  double delay = 0.0;  ///< s from the end of the throw's window to the result
};

/// Measures throws while they are recorded, on a thread of its own, from the live queues: the
/// recording does not wait for it. The last `kept` seconds are measured in memory, as a finished
/// session is from its file.
class LiveThrows {
 public:
  using Found = std::function<void(const LiveThrow&)>;
  using Failed = std::function<void(const Error&)>;
  /// Both are called from the live thread. `capture` must outlive this.
  LiveThrows(Capture& capture, LiveSettings settings, Found found, Failed failed);
  ~LiveThrows() { stop(); }
  LiveThrows(const LiveThrows&) = delete;
  LiveThrows& operator=(const LiveThrows&) = delete;

  void start();
  /// Measures a landing that still waits for its window's end, without waiting for it.
  void stop();

 private:
  // A plate under the lead foot, on which a landing shows.
  struct Watched {
    int device = -1;
    Eigen::RowVectorXd vertical;  // N per raw unit of each of the device's channels
    std::deque<double> recent;    // vertical force of the last 50 ms, N
  };

  void run(const std::stop_token& stop);
  void look_for_landing(Watched& plate, const SampleBlock& block);
  void measure(double window_end);
  /// What has not been given out yet of what is kept. On this one thread: the cores are for those
  /// who record and those who look on.
  [[nodiscard]] Result<std::vector<pitch::AnalysedThrow>> measure_new(double window_end) const;

  Capture& capture_;
  LiveSettings settings_;
  Found found_;
  Failed failed_;
  KeptRows kept_;
  std::vector<Watched> watched_;
  std::vector<double> landings_;  // session times that wait for their window's end
  double last_landing_ = -1e9;
  double last_contact_ = -1e9;  // of the last throw given out
  int count_ = 0;
  std::jthread thread_;
};

}  // namespace moundwork::drivers
