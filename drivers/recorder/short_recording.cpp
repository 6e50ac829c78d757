// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/short_recording.h"

#include <stdlib.h>

#include <algorithm>
#include <chrono>
#include <thread>

#include "core/base/working_files.h"

namespace moundwork::drivers {

namespace fs = std::filesystem;

Result<std::unique_ptr<ShortRecording>> ShortRecording::begin(const Station& station) {
  std::string name = (fs::temp_directory_path() / "moundwork-short-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr)
    return fail(name, "there is no temporary folder", "make room there, or set TMPDIR");
  std::unique_ptr<ShortRecording> recording(new ShortRecording(name));
  // Somebody's weight may be in it: a signal leaves nothing behind.
  note_working(recording->folder_);
  note_working(recording->folder_ / "short.h5");
  session::Session session = station.session;
  session.athlete.id = "station";
  session.athlete.mass = {1.0, 0.0};  // a session file holds a mass; nobody's is known here
  auto capture = Capture::begin(station, session, recording->folder_ / "short.h5");
  if (!capture) return tl::make_unexpected(capture.error());
  recording->capture_ = std::move(*capture);
  return recording;
}

ShortRecording::~ShortRecording() {
  capture_.reset();
  std::error_code ignored;
  fs::remove_all(folder_, ignored);
  forget_working(folder_ / "short.h5");
  forget_working(folder_);
}

Result<session::Reader> ShortRecording::end() {
  // What went away and did not come back lost samples that no later one shows.
  std::string gone;
  for (std::size_t d = 0; d < capture_->devices().size() && gone.empty(); ++d) {
    const DeviceHealth& health = capture_->devices()[d]->health();
    const LinkState state = health.state;
    if (health.rows > 0 && state != LinkState::streaming && state != LinkState::finished)
      gone = capture_->session().devices[d].name;
  }
  if (auto ended = capture_->end(); !ended) return tl::make_unexpected(ended.error());
  if (!gone.empty())
    return fail(gone, "stopped sending before the end",
                "see to its cable and power, and begin again");
  return session::Reader::open(folder_ / "short.h5");
}

Result<session::Reader> ShortRecording::end_after(double duration, const Progress& progress) {
  using Clock = std::chrono::steady_clock;
  const auto start = Clock::now();
  const std::chrono::duration<double> whole(duration);
  for (auto gone = Clock::duration::zero(); gone < whole; gone = Clock::now() - start) {
    if (!goes_on(progress, gone / whole)) return fail("recording", "was stopped before its end");
    std::this_thread::sleep_for(std::min<Clock::duration>(
        std::chrono::milliseconds(30), std::chrono::ceil<Clock::duration>(whole) - gone));
  }
  return end();
}

}  // namespace moundwork::drivers
