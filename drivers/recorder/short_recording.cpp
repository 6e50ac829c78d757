// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/short_recording.h"

#include <stdlib.h>

namespace moundwork::drivers {

namespace fs = std::filesystem;

Result<std::unique_ptr<ShortRecording>> ShortRecording::begin(const Station& station) {
  std::string name = (fs::temp_directory_path() / "moundwork-short-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr)
    return fail(name, "no temporary folder to be had", "make room there, or set TMPDIR");
  std::unique_ptr<ShortRecording> recording(new ShortRecording(name));
  session::Session session;
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
}

Result<session::Reader> ShortRecording::end() {
  if (auto ended = capture_->end(); !ended) return tl::make_unexpected(ended.error());
  return session::Reader::open(folder_ / "short.h5");
}

}  // namespace moundwork::drivers
