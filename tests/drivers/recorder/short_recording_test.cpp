// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/short_recording.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "core/base/working_files.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;

namespace {

struct Bench {
  support::Folder folder;
  support::VirtualPlate back{folder / "back"};
  support::VirtualPlate lead{folder / "lead"};

  std::unique_ptr<ShortRecording> begin() {
    const auto station =
        parse_station(support::virtual_station_text(1000.0), folder / "station.toml");
    if (!station) FAIL(station.error().sentence());
    auto recording = ShortRecording::begin(*station);
    if (!recording) FAIL(recording.error().sentence());
    const auto sent = [&](std::size_t d) { return (*recording)->capture().recorder().rows[d]; };
    for (int i = 0; i < 500 && (sent(0) < 200 || sent(1) < 200); ++i)
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    return std::move(*recording);
  }
};

}  // namespace

TEST_CASE("a short recording whose device went away is none", "[recorder]") {
  Bench bench;
  {
    const auto recording = bench.begin();
    CHECK(recording->end());
  }
  const auto recording = bench.begin();
  const std::string name = recording->capture().session().devices[0].name;
  bench.back.unplug();
  std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  const auto ended = recording->end();
  REQUIRE_FALSE(ended);
  CHECK(ended.error().sentence().find(name + ": stopped sending") == 0);
}

TEST_CASE("a signal in a short recording leaves none of it", "[recorder]") {
  Bench bench;
  const auto recording = bench.begin();
  const auto folder = recording->end()->path().parent_path();
  REQUIRE(std::filesystem::exists(folder));
  remove_working();  // as the handler of signals does
  CHECK_FALSE(std::filesystem::exists(folder));
}

TEST_CASE("a short recording lasts as long as it should, or until it is told to stop",
          "[recorder]") {
  Bench bench;
  using Clock = std::chrono::steady_clock;
  const auto begun = Clock::now();
  double last = 0.0;
  CHECK(bench.begin()->end_after(0.3, [&](double share) {
    last = share;
    return true;
  }));
  CHECK(Clock::now() - begun >= std::chrono::milliseconds(300));
  CHECK(last > 0.5);
  CHECK(last < 1.0);
  const auto stopped = bench.begin()->end_after(60.0, [](double) { return false; });
  REQUIRE_FALSE(stopped);
  CHECK(stopped.error().sentence().find("stopped") != std::string::npos);
}
