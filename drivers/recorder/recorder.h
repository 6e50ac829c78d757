// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "core/base/result.h"
#include "core/session/writer.h"
#include "drivers/device/event_device.h"
#include "drivers/device/sampled_device.h"
#include "drivers/recorder/delay_watch.h"
#include "drivers/recorder/disk_forcer.h"
#include "drivers/recorder/room_watch.h"

namespace moundwork::drivers {

/// A file that was taken away while it was recorded.
struct LostFile {
  session::FileLoss loss{};
  std::filesystem::path file;
  std::filesystem::path goes_on_in;  ///< empty where the recording ended with it
  std::string words;                 ///< what people are told
};

struct RecorderSettings {
  /// A kill loses at most what came since the last flush: well within the 0.5 s that is promised,
  /// with room for a computer that is busy.
  std::chrono::milliseconds flush{150};
  std::chrono::milliseconds force{500};  ///< between forcing what was flushed to the disk
  std::chrono::milliseconds poll{20};    ///< between looks into the queues
  /// The recording ends with less free space than this, while the file can still be closed well.
  std::uintmax_t least_free_bytes = 64ULL << 20;
  /// Below this the state tells how little is left; nothing else happens.
  std::uintmax_t warn_free_bytes = 1ULL << 30;
  /// Told on the recorder's thread when a file was taken away and another one begun.
  std::function<void(const LostFile& lost)> went_on;
};

enum class RecorderEnd { running, asked, disk_full, write_failed };

/// What the recorder lets others see while it runs.
struct RecorderState {
  RecorderEnd end = RecorderEnd::running;
  std::string message;         ///< why it ended, what is safe and what to do; or a warning
  std::filesystem::path path;  ///< the file that is being recorded into
  std::vector<LostFile> losses;
  std::vector<std::int64_t> rows;  ///< in the file and in those that were moved, by device
  std::int64_t readings = 0;       ///< events recorded
  double longest_flush = 0.0;      ///< s
  double longest_unsafe = 0.0;     ///< s, greatest age of a sample when a flush had made it safe
  double longest_unforced = 0.0;   ///< s, greatest age of a sample when the disk had confirmed it
  double fullest_queue = 0.0;      ///< share of the fullest device queue ever seen, 0 to 1
};

/// An instrument that sends events, and its place among event_sources() of the session.
struct RecordedEvents {
  std::size_t source = 0;
  EventDevice* device = nullptr;
};

/// The one thread that writes the session file: empties the devices' queues, appends, flushes. A
/// file that is taken away meanwhile is followed by another beside it.
class Recorder {
 public:
  /// `devices` as those of `session`, which is the one in the writer's file, and outliving the
  /// recorder; `rows_so_far` what the file already holds of each.
  Recorder(session::Writer writer, std::filesystem::path path, session::Session session,
           std::vector<SampledDevice*> devices, std::vector<RecordedEvents> events,
           std::vector<std::int64_t> rows_so_far, RecorderSettings settings = {});
  ~Recorder() { (void)stop(); }
  Recorder(const Recorder&) = delete;
  Recorder& operator=(const Recorder&) = delete;

  [[nodiscard]] Result<void> start();
  /// Stop the devices first: what is in their queues is still written, then the file is closed.
  [[nodiscard]] Result<void> stop();
  [[nodiscard]] RecorderState state() const;

 private:
  void run(const std::stop_token& stop);
  [[nodiscard]] Result<void> write_waiting();
  [[nodiscard]] Result<void> append(std::size_t device, const SampleBlock& block);
  [[nodiscard]] Result<void> see_to_disk();
  [[nodiscard]] Result<void> go_on_beside(session::FileLoss loss);
  void let_go_of_file(session::FileLoss& loss);
  [[nodiscard]] Result<void> close_safely();
  [[nodiscard]] std::optional<session::FileLoss> loss_at_end() const;
  [[nodiscard]] bool has_room();
  void finish(RecorderEnd end, std::string message);
  [[nodiscard]] std::string not_written(const Error& error) const;
  [[nodiscard]] std::string not_forced(const Error& error, double unforced) const;
  void publish();

  session::Writer writer_;
  std::filesystem::path path_, first_path_;
  session::Session session_;
  std::vector<SampledDevice*> devices_;
  std::vector<RecordedEvents> events_;
  RecorderSettings settings_;
  RoomWatch room_;
  DelayWatch delay_;
  std::unique_ptr<DiskForcer> forcer_;
  std::vector<std::int64_t> rows_;      // in the file, by device
  std::vector<std::int64_t> earlier_;   // in files that were moved, by device
  std::vector<std::int32_t> integers_;  // a block in the type of its table
  std::int64_t readings_ = 0;
  double longest_flush_ = 0.0;
  double longest_unsafe_ = 0.0;
  double longest_unforced_ = 0.0;
  std::string room_words_;
  std::vector<LostFile> losses_;
  int file_number_ = 1;
  std::vector<std::unique_ptr<DiskForcer>> leaving_;  // of files before, until their disk answers
  double fullest_queue_ = 0.0;

  mutable std::mutex state_mutex_;  // guards state_ alone
  RecorderState state_;
  std::jthread thread_;
};

}  // namespace moundwork::drivers
