// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "core/base/result.h"
#include "core/session/forced_file.h"

namespace moundwork::drivers {

/// Sees to it that what was recorded is on the disk, and that the file says so: a thread of its
/// own, since a disk may take as long as it likes to answer. Only finish() and the end wait for it.
class DiskForcer {
 public:
  using Clock = std::chrono::steady_clock;

  /// Forces every `period`, or as often as the disk answers where that takes longer.
  DiskForcer(session::ForcedFile file, std::chrono::milliseconds period);
  /// Leaves the file as it is, once the disk has answered what it was asked.
  ~DiskForcer() = default;
  DiskForcer(const DiskForcer&) = delete;
  DiskForcer& operator=(const DiskForcer&) = delete;

  /// The system has so many rows of each table (session::Writer::rows()), all that came before
  /// `when`.
  void written(const std::vector<std::int64_t>& rows, Clock::time_point when);
  /// The file is about to be closed, and no bytes are to be missed in it any more.
  void file_closes();
  /// Nothing more comes: the disk is still to take what was last written, and its count.
  void finish_soon();
  /// Likewise, and waits until it has.
  [[nodiscard]] Result<void> finish();
  /// Nothing of the file matters any more.
  void leave();

  /// Looks what happened to the file, a tenth of a second after the last time at the earliest; for
  /// one thread, which does not wait for the disk here.
  void look();

  struct State {
    double unforced = 0.0;  ///< s, since the moment up to which all is on the disk
    double longest = 0.0;   ///< s, the greatest that this has been
    std::optional<Error> failure;
    std::optional<session::FileLoss> loss;
  };
  /// Of the file system that the file lies on.
  [[nodiscard]] dev_t device() const { return device_; }
  [[nodiscard]] State state() const;

 private:
  struct Written {
    std::vector<std::int64_t> rows;
    Clock::time_point when;
  };
  void run(const std::stop_token& stop);
  [[nodiscard]] Result<void> step();

  std::chrono::milliseconds period_;
  dev_t device_;
  session::ForcedFile file_;
  std::optional<Written> noted_;  // of the thread alone: in the file, not yet forced
  Clock::time_point looked_;      // of who looks, as is
  bool closing_ = false;

  std::mutex note_mutex_;     // guards file_'s note against who looks at it
  mutable std::mutex mutex_;  // guards what follows; held for no wait
  std::condition_variable_any woken_;
  std::optional<Written> written_;
  Clock::time_point confirmed_until_;
  State state_;
  bool finishing_ = false;

  std::jthread thread_;
};

}  // namespace moundwork::drivers
