// SPDX-License-Identifier: GPL-3.0-or-later
#include <dlfcn.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <thread>

#include "core/base/write_file.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/on_disk.h"
#include "core/session/reader.h"
#include "drivers/recorder/capture.h"
#include "drivers/recorder/delay_watch.h"
#include "drivers/recorder/lost_file.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;
namespace fs = std::filesystem;

namespace {

template <class Condition>
bool eventually(Condition condition) {
  for (int i = 0; i < 500 && !condition(); ++i) std::this_thread::sleep_for(10ms);
  return condition();
}

struct Bench {
  support::Folder folder;
  fs::path lab = folder / "lab";
  fs::path path = lab / "session.h5";
  Station station;
  support::VirtualPlate back{folder / "back"};
  support::VirtualPlate lead{folder / "lead"};

  Bench() {
    fs::create_directory(lab);
    auto read = parse_station(support::virtual_station_text(1000.0), folder / "station.toml");
    REQUIRE(read);
    station = std::move(*read);
  }

  [[nodiscard]] std::unique_ptr<Capture> begin() const {
    session::Session session = station.session;
    session.athlete.id = "t01";
    session.athlete.mass = {80.0, 0.1};
    auto capture = Capture::begin(station, session, path, {});
    if (!capture) FAIL(capture.error().sentence());
    return std::move(*capture);
  }
};

/// The preloaded library's (tests/drivers/preload/watched_disk.cpp); null where it is not there.
template <class Function>
Function preloaded(const char* name) {
  return reinterpret_cast<Function>(dlsym(RTLD_DEFAULT, name));
}

std::string asked_of_disk() {
  const auto asked = preloaded<const char* (*)()>("moundwork_asked_of_disk");
  return asked != nullptr ? asked() : "";
}

/// Skips loudly where the disk cannot be watched.
bool watched() {
  if (preloaded<const char* (*)()>("moundwork_asked_of_disk") != nullptr) return true;
  WARN("SKIPPED: what is asked of the disk is seen only under ctest");
  return false;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t times = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1))
    ++times;
  return times;
}

constexpr std::size_t half_bytes = 7 * 8;  // two devices' samples and blocks, a radar; two more

std::uint64_t place(const fs::path& path) {
  const auto held = session::hdf5::hold_library();
  return session::on_disk::place_in(session::hdf5::open_to_read(path));
}

std::vector<std::int64_t> counted(const fs::path& path) {
  const auto held = session::hdf5::hold_library();
  return session::on_disk::read(session::hdf5::open_to_read(path)).value();
}

std::int64_t rows_in(const fs::path& path) {
  const auto reader = session::Reader::open(path);
  if (!reader) FAIL(reader.error().sentence());
  return reader->sample_count(0);
}

}  // namespace

TEST_CASE("a recording is forced to the disk again and again, and says how long it was not there",
          "[recorder][power]") {
  if (!watched()) return;
  const Bench bench;
  (void)asked_of_disk();
  const auto capture = bench.begin();
  CHECK(count(asked_of_disk(), "force " + bench.lab.string() + "\n") >= 1);  // the file's name
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 500; }));
  (void)asked_of_disk();
  std::this_thread::sleep_for(2100ms);
  CHECK(count(asked_of_disk(), "force " + bench.path.string() + "\n") >= 6);
  REQUIRE(capture->end());
  const auto state = capture->recorder();
  CHECK(state.longest_unforced > 0.4);
  CHECK(state.message.empty());
  CHECK(state.end == RecorderEnd::asked);
}

TEST_CASE("a disk that is slow to answer holds nothing up and is told of", "[recorder][power]") {
  if (!watched()) return;
  const auto slow = preloaded<void (*)(int)>("moundwork_slow_disk");
  const Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 200; }));
  slow(1500);
  CHECK(eventually(
      [&] { return capture->recorder().message.find("The disk is slow") != std::string::npos; }));
  const std::int64_t before = capture->recorder().rows[0];
  std::this_thread::sleep_for(1s);
  CHECK(capture->recorder().rows[0] > before + 700);
  slow(0);
  REQUIRE(capture->end());
  CHECK(capture->recorder().longest_unforced > 1.0);
  CHECK(capture->devices()[0]->health().gaps == 0);
}

TEST_CASE("words for a slow disk come once for each doubling, whatever its answers do meanwhile",
          "[recorder][power]") {
  DelayWatch watch;
  auto now = DelayWatch::Clock::now();
  CHECK(watch.look(0.4, now).empty());
  CHECK(watch.look(1.0, now).empty());
  const std::string first = watch.look(1.2, now);
  CHECK(first.find("in the last 1 s") != std::string::npos);
  for (int answer = 0; answer < 100; ++answer) {
    now += 300ms;
    CHECK(watch.look(answer % 2 == 0 ? 0.7 : 1.3, now) == first);
  }
  CHECK(watch.look(2.1, now).find("in the last 2 s") != std::string::npos);
  CHECK(watch.look(9.0, now).find("in the last 9 s") != std::string::npos);
  CHECK(watch.look(15.0, now).find("in the last 9 s") != std::string::npos);
  now += 9s;
  CHECK_FALSE(watch.look(0.3, now).empty());
  now += 2s;
  CHECK(watch.look(0.3, now).empty());
  const std::string again = watch.look(1.5, now);
  CHECK(again.find("slow again") != std::string::npos);
  CHECK(watch.look(1.1, now) == again);
}

TEST_CASE("rows are counted only when the disk has them, and all of them at the end",
          "[recorder][power]") {
  if (!watched()) return;
  const Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 800; }));
  const std::string record = fmt::format("write {} {} ", bench.path.string(), place(bench.path));
  const std::string other =
      fmt::format("write {} {} ", bench.path.string(), place(bench.path) + half_bytes);
  (void)asked_of_disk();
  std::this_thread::sleep_for(1600ms);
  // Between two counts the disk is always asked.
  std::istringstream asked(asked_of_disk());
  int counts = 0, forced = 0;
  bool answered = true;
  for (std::string line; std::getline(asked, line);) {
    if (line == "force " + bench.path.string()) {
      answered = true;
      ++forced;
    } else if ((line + " ").starts_with(record) || (line + " ").starts_with(other)) {
      CHECK(answered);
      answered = false;
      ++counts;
    }
  }
  CHECK(counts >= 4);
  CHECK(forced >= counts);
  // While it does not answer, nothing is counted.
  preloaded<void (*)(int)>("moundwork_slow_disk")(1500);
  std::this_thread::sleep_for(600ms);
  const auto waiting = counted(bench.path);
  std::this_thread::sleep_for(500ms);
  CHECK(counted(bench.path) == waiting);
  preloaded<void (*)(int)>("moundwork_slow_disk")(0);
  REQUIRE(capture->end());
  const auto rows = capture->recorder().rows;
  const auto counts_at_end = counted(bench.path);
  CHECK(counts_at_end[0] == rows[0]);
  CHECK(counts_at_end[2] == rows[1]);
}

TEST_CASE("a disk that reports a fault ends the recording, and the words say what may be lost",
          "[recorder][power]") {
  if (!watched()) return;
  const Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 500; }));
  preloaded<void (*)(int)>("moundwork_failing_disk")(EIO);
  REQUIRE(eventually([&] { return capture->recorder().end != RecorderEnd::running; }));
  preloaded<void (*)(int)>("moundwork_failing_disk")(0);
  const auto state = capture->recorder();
  CHECK(state.end == RecorderEnd::write_failed);
  CHECK(state.message.find("the disk reported a fault") != std::string::npos);
  CHECK(state.message.find("may not be in " + bench.path.string()) != std::string::npos);
  CHECK_FALSE(capture->end());
  CHECK_FALSE(fs::exists(bench.lab / "session-2.h5"));
  CHECK(rows_in(bench.path) >= 300);
}

TEST_CASE("a file that takes another's place is on the disk before, and its name after",
          "[recorder][power]") {
  if (!watched()) return;
  const support::Folder folder;
  const auto path = folder / "roster.csv";
  REQUIRE(replace_file(path, "first"));
  (void)asked_of_disk();
  REQUIRE(replace_file(path, "second"));
  const std::string asked = asked_of_disk();
  CAPTURE(asked);
  const auto forced = asked.find("force " + path.string() + ".");
  const auto renamed = asked.find("rename ");
  const auto named = asked.find("force " + fs::path(path).parent_path().string() + "\n");
  REQUIRE(named != std::string::npos);
  CHECK(forced < renamed);
  CHECK(renamed < named);
}

TEST_CASE("a recording that is gone on with is on the disk before it takes the old one's place",
          "[recorder][power]") {
  if (!watched()) return;
  const Bench bench;
  {
    const auto capture = bench.begin();
    REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
    REQUIRE(capture->end());
  }
  (void)asked_of_disk();
  auto capture = Capture::resume(bench.station, bench.path);
  REQUIRE(capture);
  const std::string asked = asked_of_disk();
  CAPTURE(asked);
  const std::string copy = (bench.lab / ".session.h5.continue" / "session.h5").string();
  const auto renamed = asked.find("rename " + copy + " " + bench.path.string());
  REQUIRE(renamed != std::string::npos);
  CHECK(asked.rfind("force " + copy + "\n", renamed) != std::string::npos);
  // What the file counts is what it holds, whoever reads it.
  const auto rows = counted(bench.path);
  CHECK(rows[0] >= 300);
  CHECK(asked.find("force " + bench.lab.string() + "\n", renamed) != std::string::npos);
  REQUIRE((*capture)->end());
}

TEST_CASE("a recording whose file is taken away says so and goes on in another",
          "[recorder][power]") {
  Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 700; }));
  std::string words;
  std::int64_t kept = 0;
  SECTION("deleted") {
    fs::remove(bench.path);
    words = "was deleted";
  }
  SECTION("its folder deleted") {
    fs::remove_all(bench.lab);
    words = "was deleted";
  }
  SECTION("cut short") {
    fs::resize_file(bench.path, 0);
    words = "was cut short or written to";
  }
  SECTION("cut short to what lay there long before") {
    const int file = ::open(bench.path.c_str(), O_WRONLY);
    REQUIRE(::ftruncate(file, 20'000) == 0);
    ::close(file);
    words = "was cut short or written to";
  }
  SECTION("written to in place") {
    std::fstream file(bench.path, std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(15'000);
    file << "something else";
    file.close();
    words = "was cut short or written to";
  }
  SECTION("renamed") {
    fs::rename(bench.path, bench.lab / "other.h5");
    words = "was moved or renamed";
    kept = 700;
  }
  SECTION("its folder renamed") {
    fs::rename(bench.lab, bench.folder / "elsewhere");
    words = "was moved or renamed";
    kept = 700;
  }
  const auto when = std::chrono::steady_clock::now();
  REQUIRE(eventually([&] { return !capture->recorder().losses.empty(); }));
  CHECK(std::chrono::steady_clock::now() - when < 2s);
  const auto state = capture->recorder();
  CHECK(state.path == bench.lab / "session-2.h5");
  CHECK(state.losses.front().words.find(words) != std::string::npos);
  CHECK(state.losses.front().words.find(state.path.string()) != std::string::npos);
  CHECK(state.losses.front().goes_on_in == state.path);
  const std::int64_t before = state.rows[0];
  CHECK(before >= kept);
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > before + 500; }));
  REQUIRE(capture->end());
  CHECK(capture->recorder().end == RecorderEnd::asked);
  CHECK(rows_in(state.path) > 500);
  CHECK(capture->devices()[0]->health().gaps == 0);
  if (kept > 0) {
    const auto moved = fs::exists(bench.lab / "other.h5") ? bench.lab / "other.h5"
                                                          : bench.folder / "elsewhere/session.h5";
    CHECK(rows_in(moved) >= kept);
    const auto first = session::Reader::open(moved), second = session::Reader::open(state.path);
    CHECK(first->session().id != second->session().id);
    CHECK(first->session().started == second->session().started);
  }
}

TEST_CASE("what was done to a file that nobody opened is seen when its recording ends",
          "[recorder][power]") {
  const Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 1500; }));
  // By its name alone, and at once written on beyond.
  fs::resize_file(bench.path, fs::file_size(bench.path) / 2);
  const std::int64_t before = capture->recorder().rows[0];
  REQUIRE(eventually([&] {
    return capture->recorder().rows[0] > before + 1200 || !capture->recorder().losses.empty();
  }));
  REQUIRE(capture->end());
  const auto state = capture->recorder();
  REQUIRE(state.losses.size() == 1);
  CHECK(state.losses[0].loss == session::FileLoss::spoilt);
}

TEST_CASE("whoever asks for a recording's lock, or reads it, is not taken for one who writes",
          "[recorder][power]") {
  const Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
  CHECK_FALSE(Capture::resume(bench.station, bench.path));
  CHECK(rows_in(bench.path) > 0);
  const std::int64_t before = capture->recorder().rows[0];
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > before + 500; }));
  REQUIRE(capture->end());
  CHECK(capture->recorder().losses.empty());
}

TEST_CASE("a relative name holds when its folder goes", "[recorder][power]") {
  Bench bench;
  const fs::path before = fs::current_path();
  fs::current_path(bench.lab);
  bench.path = "session.h5";
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
  fs::current_path(before);
  fs::remove_all(bench.lab);
  REQUIRE(eventually([&] { return !capture->recorder().losses.empty(); }));
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
  REQUIRE(capture->end());
  CHECK(rows_in(bench.lab / "session-2.h5") > 300);
}

TEST_CASE("a recording whose second file goes as well has a third", "[recorder][power]") {
  Bench bench;
  const auto capture = bench.begin();
  for (const char* name : {"session.h5", "session-2.h5"}) {
    REQUIRE(eventually([&] {
      return capture->recorder().path == bench.lab / name && capture->recorder().rows[0] > 300;
    }));
    fs::remove(bench.lab / name);
  }
  REQUIRE(eventually([&] { return capture->recorder().losses.size() == 2; }));
  CHECK(capture->recorder().path == bench.lab / "session-3.h5");
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
  REQUIRE(capture->end());
  CHECK(rows_in(bench.lab / "session-3.h5") > 300);
}

TEST_CASE("a file that goes as its recording ends is told of, whether another was begun or not",
          "[recorder][power]") {
  Bench bench;
  const auto capture = bench.begin();
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 300; }));
  fs::remove(bench.path);
  REQUIRE(capture->end());
  const auto state = capture->recorder();
  REQUIRE(state.losses.size() == 1);
  CHECK(state.losses[0].goes_on_in.empty() == fs::is_empty(bench.lab));

  const LostFile last{session::FileLoss::deleted, "day.h5", {}, {}};
  CHECK(words_of(last) ==
        "day.h5 was deleted just as its recording ended, and what it held is gone.");
  const LostFile before{session::FileLoss::moved, "day.h5", "day-2.h5", {}};
  CHECK(words_of(before).find("goes on in day-2.h5") != std::string::npos);
}
