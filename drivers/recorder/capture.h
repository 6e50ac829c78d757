// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "drivers/recorder/recorder.h"
#include "drivers/station/station.h"

namespace moundwork::drivers {

struct CaptureSettings {
  QueueSizes queues;
  LinkSettings link;
  RecorderSettings recorder;
};

/// A running recording: every device of a station, each on its thread, into one session file.
class Capture {
 public:
  /// Makes the file (which must not exist) and starts. `session` is the station's own with the
  /// athlete put in (recording_session.h); identity and start time are set here.
  [[nodiscard]] static Result<std::unique_ptr<Capture>> begin(const Station& station,
                                                              session::Session session,
                                                              const std::filesystem::path& path,
                                                              CaptureSettings settings = {});
  /// Goes on with a session that was cut off, at the same station. Its samples are copied once,
  /// which also drops what a crash left behind the last whole block.
  [[nodiscard]] static Result<std::unique_ptr<Capture>> resume(const Station& station,
                                                               const std::filesystem::path& path,
                                                               CaptureSettings settings = {});
  ~Capture();

  /// Where a device's table ended before this program started.
  struct Tail {
    std::int64_t rows = 0;
    std::optional<DeviceTicks> next;  ///< counter had there been no break; absent without rows
    SessionTime last_arrival{};
  };

  /// Stops the devices, writes what they still brought and closes the file.
  [[nodiscard]] Result<void> end();

  [[nodiscard]] const session::Session& session() const { return session_; }
  /// Where another session's results, which lay under this one's name, are now.
  [[nodiscard]] const std::optional<std::filesystem::path>& set_aside() const { return aside_; }
  [[nodiscard]] RecorderState recorder() const { return recorder_->state(); }
  [[nodiscard]] const std::vector<std::unique_ptr<SampledDevice>>& devices() const {
    return devices_;
  }
  /// Instruments that send events, as event_sources() of the session numbers them; one that the
  /// station does not have any more is not there.
  [[nodiscard]] const std::vector<RecordedEvents>& events() const { return events_; }
  /// True when every device has come to its end (replayed captures only).
  [[nodiscard]] bool finished() const;
  [[nodiscard]] SessionTime now() const { return clock_.now(); }

 private:
  Capture(session::Session session, HostClock clock)
      : session_(std::move(session)), clock_(clock) {}
  [[nodiscard]] Result<void> start(const Station& station, session::Writer writer,
                                   const std::filesystem::path& path,
                                   const std::vector<Tail>& tails, const CaptureSettings& settings);

  session::Session session_;
  std::optional<std::filesystem::path> aside_;
  HostClock clock_;
  std::vector<std::unique_ptr<SampledDevice>> devices_;
  std::vector<std::unique_ptr<EventDevice>> event_devices_;
  std::vector<RecordedEvents> events_;
  std::unique_ptr<Recorder> recorder_;
};

}  // namespace moundwork::drivers
