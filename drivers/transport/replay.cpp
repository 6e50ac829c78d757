// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/transport/replay.h"

#include <algorithm>
#include <thread>

namespace moundwork::drivers {

Result<void> ReplayTransport::open() {
  file_.clear();
  file_.open(path_, std::ios::binary);
  if (!file_ || std::filesystem::is_directory(path_)) {
    file_.close();
    return fail(path_.string(), "the captured bytes cannot be opened",
                "check the path in the station file");
  }
  began_ = std::chrono::steady_clock::now();
  sent_ = 0;
  finished_ = false;
  return {};
}

Result<std::size_t> ReplayTransport::read(std::span<std::uint8_t> into,
                                          std::chrono::milliseconds patience) {
  std::size_t due = into.size();
  if (bytes_per_second_ > 0.0) {
    const auto due_now = [&] {
      const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - began_;
      return static_cast<std::uint64_t>(elapsed.count() * bytes_per_second_) - sent_;
    };
    if (due_now() == 0)
      std::this_thread::sleep_for(std::min(patience, std::chrono::milliseconds(5)));
    due = std::min<std::size_t>(due, due_now());
  }
  file_.read(reinterpret_cast<char*>(into.data()), static_cast<std::streamsize>(due));
  const auto count = static_cast<std::size_t>(file_.gcount());
  sent_ += count;
  if (file_.bad()) return fail(path_.string(), "reading the captured bytes failed");
  finished_ = file_.eof();
  return count;
}

}  // namespace moundwork::drivers
