// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "core/base/result.h"
#include "core/session/writer.h"
#include "drivers/device/event_device.h"
#include "drivers/device/sampled_device.h"
#include "drivers/recorder/room_watch.h"

namespace moundwork::drivers {

struct RecorderSettings {
  /// A kill loses at most what came since the last flush: well within the 0.5 s that is promised,
  /// with room for a computer that is busy.
  std::chrono::milliseconds flush{150};
  std::chrono::milliseconds poll{20};  ///< between looks into the queues
  /// The recording ends with less free space than this, while the file can still be closed well.
  std::uintmax_t least_free_bytes = 64ULL << 20;
  /// Below this the state tells how little is left; nothing else happens.
  std::uintmax_t warn_free_bytes = 1ULL << 30;
};

enum class RecorderEnd { running, asked, disk_full, write_failed };

/// What the recorder lets others see while it runs.
struct RecorderState {
  RecorderEnd end = RecorderEnd::running;
  std::string message;             ///< why it ended, what is safe and what to do; or a warning
  std::vector<std::int64_t> rows;  ///< in the file, by device
  std::int64_t readings = 0;       ///< events in the file
  double longest_flush = 0.0;      ///< s
  double longest_unsafe = 0.0;     ///< s, greatest age of a sample when a flush had made it safe
  double fullest_queue = 0.0;      ///< share of the fullest device queue ever seen, 0 to 1
};

/// An instrument that sends events, and its place among event_sources() of the session.
struct RecordedEvents {
  std::size_t source = 0;
  EventDevice* device = nullptr;
};

/// The one thread that writes the session file: empties the devices' queues, appends, flushes.
class Recorder {
 public:
  /// `devices` as Session::devices of the writer's file, and outliving the recorder; `rows_so_far`
  /// what the file already holds of each.
  Recorder(session::Writer writer, std::filesystem::path path,
           std::vector<session::Device> described, std::vector<SampledDevice*> devices,
           std::vector<RecordedEvents> events, std::vector<std::int64_t> rows_so_far,
           RecorderSettings settings = {});
  ~Recorder() { (void)stop(); }
  Recorder(const Recorder&) = delete;
  Recorder& operator=(const Recorder&) = delete;

  void start();
  /// Stop the devices first: what is in their queues is still written, then the file is closed.
  [[nodiscard]] Result<void> stop();
  [[nodiscard]] RecorderState state() const;

 private:
  void run(const std::stop_token& stop);
  [[nodiscard]] Result<void> write_waiting();
  [[nodiscard]] Result<void> append(std::size_t device, const SampleBlock& block);
  [[nodiscard]] bool has_room();
  void finish(RecorderEnd end, std::string message);
  [[nodiscard]] std::string not_written(const Error& error) const;
  void publish();

  session::Writer writer_;
  std::filesystem::path path_;
  std::vector<session::Device> described_;
  std::vector<SampledDevice*> devices_;
  std::vector<RecordedEvents> events_;
  RecorderSettings settings_;
  RoomWatch room_;
  std::vector<std::int64_t> rows_;
  std::vector<std::int32_t> integers_;  // a block in the type of its table
  std::int64_t readings_ = 0;
  double longest_flush_ = 0.0;
  double longest_unsafe_ = 0.0;
  double fullest_queue_ = 0.0;

  mutable std::mutex state_mutex_;  // guards state_ alone
  RecorderState state_;
  std::jthread thread_;
};

}  // namespace moundwork::drivers
