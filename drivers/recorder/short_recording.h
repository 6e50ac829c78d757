// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>

#include "core/base/progress.h"
#include "core/session/reader.h"
#include "drivers/recorder/capture.h"

namespace moundwork::drivers {

/// A recording of a station for a check or a weigh-in, in a temporary folder that goes with it.
class ShortRecording {
 public:
  [[nodiscard]] static Result<std::unique_ptr<ShortRecording>> begin(const Station& station);
  ~ShortRecording();
  ShortRecording(const ShortRecording&) = delete;
  ShortRecording& operator=(const ShortRecording&) = delete;

  [[nodiscard]] Capture& capture() { return *capture_; }
  /// Ends it and opens what was recorded, to be read while this lives.
  [[nodiscard]] Result<session::Reader> end();
  /// Waits `duration` s before that; fails when `progress` says to stop.
  [[nodiscard]] Result<session::Reader> end_after(double duration, const Progress& progress = {});

 private:
  explicit ShortRecording(std::filesystem::path folder) : folder_(std::move(folder)) {}
  std::filesystem::path folder_;
  std::unique_ptr<Capture> capture_;
};

}  // namespace moundwork::drivers
