// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QElapsedTimer>
#include <QTimer>
#include <algorithm>
#include <vector>

namespace moundwork::support {

/// Beats on the interface thread and notes by how much each beat came late: as long as that the
/// window could not have answered a key.
class Heartbeat {
 public:
  Heartbeat() {
    timer_.setTimerType(Qt::PreciseTimer);
    timer_.setInterval(every_ms);
    QObject::connect(&timer_, &QTimer::timeout, &timer_, [this] {
      late_.push_back(static_cast<double>(since_.nsecsElapsed()) * 1e-6 - every_ms);
      since_.start();
    });
    start();
  }
  void start() {
    late_.clear();
    since_.start();
    timer_.start();
  }
  void stop() { timer_.stop(); }
  /// ms
  [[nodiscard]] double longest() const {
    return late_.empty() ? 0.0 : *std::max_element(late_.begin(), late_.end());
  }
  /// ms that this share of the beats did not exceed.
  [[nodiscard]] double quantile(double share) const {
    if (late_.empty()) return 0.0;
    std::vector<double> sorted = late_;
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(sorted.size() - 1));
    std::nth_element(sorted.begin(), sorted.begin() + at, sorted.end());
    return sorted[static_cast<std::size_t>(at)];
  }
  [[nodiscard]] std::size_t beats() const { return late_.size(); }

 private:
  static constexpr int every_ms = 5;
  QTimer timer_;
  QElapsedTimer since_;
  std::vector<double> late_;
};

}  // namespace moundwork::support
