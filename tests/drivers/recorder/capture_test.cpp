// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/recorder/capture.h"

#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>

#include "core/base/time_zone.h"
#include "core/base/wall_time.h"
#include "core/session/reader.h"
#include "core/session/sample_clock.h"
#include "core/session/writer.h"
#include "drivers/device/urgent.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

session::Session somebody_at(const Station& station) {
  session::Session session = station.session;
  session.athlete.id = "t01";
  session.athlete.name = "Test Athlete";
  session.athlete.mass = {80.0, 0.1};
  return session;
}

Station bench(const support::Folder& folder, double rate = 1000.0) {
  auto station = parse_station(support::virtual_station_text(rate), folder / "station.toml");
  if (!station) FAIL(station.error().sentence());
  return *station;
}

std::unique_ptr<Capture> begin(const Station& station, const std::filesystem::path& path,
                               CaptureSettings settings = {}) {
  auto capture = Capture::begin(station, somebody_at(station), path, settings);
  if (!capture) FAIL(capture.error().sentence());
  return std::move(*capture);
}

/// Waits at most 5 s for `condition`.
template <class Condition>
bool eventually(Condition condition) {
  for (int i = 0; i < 500 && !condition(); ++i) std::this_thread::sleep_for(10ms);
  return condition();
}

struct Table {
  std::vector<session::Block> blocks;
  session::RawTable<std::int32_t> rows;
  [[nodiscard]] std::int64_t missing() const {
    std::int64_t sum = 0;
    for (const auto& block : blocks) sum += block.missing_before;
    return sum;
  }
};

Table table_of(const session::Reader& reader, int device) {
  Table table;
  const auto blocks = reader.blocks(device);
  REQUIRE(blocks);
  table.blocks = *blocks;
  REQUIRE(reader.read(device, 0, reader.sample_count(device), table.rows));
  return table;
}

/// Every sample says which row of the device it is: rows follow on but at gaps, which must be
/// exactly as wide as stated, and every block's ticks must be those of its row. Returns rows lost.
std::int64_t check_rows(const Table& table, double rate) {
  std::int64_t lost = 0;
  std::int64_t expected = -1;
  std::int64_t wrong = 0;
  for (std::size_t b = 0; b < table.blocks.size(); ++b) {
    const auto& block = table.blocks[b];
    const std::int64_t end = b + 1 < table.blocks.size() ? table.blocks[b + 1].first_sample
                                                         : std::int64_t{table.rows.rows()};
    if (end == block.first_sample) continue;
    const std::int64_t first = table.rows(block.first_sample, 0) / 64;
    if (expected >= 0) {
      CHECK(first - expected == block.missing_before);
      lost += first - expected;
    }
    CHECK(static_cast<std::int64_t>(block.ticks) ==
          static_cast<std::int64_t>(static_cast<double>(first) * 1e6 / rate));
    for (std::int64_t r = block.first_sample; r < end; ++r)
      for (int c = 0; c < table.rows.cols(); ++c)
        wrong += table.rows(r, c) != 64 * (first + r - block.first_sample) + c;
    expected = first + end - block.first_sample;
  }
  CHECK(wrong == 0);
  return lost;
}

struct Bench {
  support::Folder folder;
  std::filesystem::path path = folder / "session.h5";
  Station station = bench(folder);
  support::VirtualPlate back{folder / "back"};
  support::VirtualPlate lead{folder / "lead"};
  std::optional<VirtualPort> radar;

  Bench() {
    auto port = VirtualPort::open(folder / "radar");
    REQUIRE(port);
    radar.emplace(std::move(*port));
  }
  void say(const std::string& line) {
    REQUIRE(radar->write({reinterpret_cast<const std::uint8_t*>(line.data()), line.size()},
                         100ms) == line.size());
  }
};

}  // namespace

TEST_CASE("a recording holds every sample and every radar line, with the station's description",
          "[recorder]") {
  Bench bench;
  {
    const auto capture = begin(bench.station, bench.path);
    REQUIRE(eventually([&] { return capture->recorder().rows[1] > 200; }));
    bench.say("91.3 mph\r\nready\r\n");
    REQUIRE(eventually([&] { return capture->recorder().readings == 2; }));
    REQUIRE(eventually([&] { return capture->recorder().rows[0] > 1500; }));
    REQUIRE(capture->end());
    CHECK(capture->devices()[0]->health().gaps == 0);
    CHECK(capture->recorder().end == RecorderEnd::asked);
  }
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  for (int device : {0, 1}) {
    const Table table = table_of(*reader, device);
    CHECK(check_rows(table, 1000.0) == 0);
    CHECK(table.rows.rows() > 1000);
    // Times come from the counter, not from the bursts in which bytes arrive.
    const auto map = fit_clock(reader->session().devices[static_cast<std::size_t>(device)],
                               table.blocks, table.rows.rows());
    REQUIRE(map);
    CHECK((map->at(2e6) - map->at(1e6)).count() == Approx(1.0).margin(1e-3));
  }
  CHECK(reader->session().athlete.name == "Test Athlete");
  CHECK(reader->session().plates.size() == 2);
  CHECK(reader->session().devices[0].channels[2].scale == 0.01);
  CHECK(reader->session().started.size() == 27);
  const auto readings = reader->radar_readings();
  REQUIRE(readings);
  REQUIRE(readings->size() == 2);
  CHECK((*readings)[0].speed == Approx(91.3 * 0.44704).margin(1e-9));
  CHECK((*readings)[0].text == "91.3 mph");
  CHECK(std::isnan((*readings)[1].speed));
}

TEST_CASE("when a recording began is in its file before the first sample, for whoever is killed",
          "[recorder][run zero]") {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  const Station station = bench(folder);
  const auto before =
      std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now());
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    // No instrument is there.
    auto capture = Capture::begin(station, somebody_at(station), path, {});
    if (!capture) _exit(2);
    (void)kill(getpid(), SIGKILL);
    _exit(3);
  }
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WIFSIGNALED(status));
  const auto after = std::chrono::system_clock::now();

  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  const auto started = from_iso_text(reader->session().started);
  REQUIRE(started);
  CHECK(*started >= before);
  CHECK(*started <= after);
  CHECK(reader->session().zone.name == computer_zone());
  CHECK(std::chrono::seconds(reader->session().zone.utc_offset_s) ==
        utc_offset(*started, computer_zone()));
  CHECK_FALSE(reader->session().zone.assumed);
  CHECK(reader->session().id.size() == 36);  // RFC 4122's text form
  CHECK(reader->session().plates.size() == 2);
  CHECK(reader->sample_count(0) == 0);
}

TEST_CASE("lost and corrupted frames are gaps of their exact width, counted apart", "[recorder]") {
  Bench bench;
  const auto capture = begin(bench.station, bench.path);
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 200; }));
  bench.back.skip_next_frame();
  REQUIRE(eventually([&] { return capture->devices()[0]->health().gaps == 1; }));
  bench.back.corrupt_next_frame();
  REQUIRE(eventually([&] { return capture->devices()[0]->health().gaps == 2; }));
  REQUIRE(capture->end());
  const DeviceHealth& health = capture->devices()[0]->health();
  CHECK(health.missing_rows == 20);
  CHECK(health.bad_checksum + health.malformed == 1);
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  CHECK(check_rows(table_of(*reader, 0), 1000.0) == 20);
  CHECK(check_rows(table_of(*reader, 1), 1000.0) == 0);
}

TEST_CASE("an unplugged device comes back by itself, with the gap in the file", "[recorder]") {
  Bench bench;
  const auto capture = begin(bench.station, bench.path);
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 200; }));
  bench.back.unplug();
  bench.radar.reset();
  const auto unplugged = std::chrono::steady_clock::now();
  REQUIRE(eventually([&] { return capture->devices()[0]->health().state == LinkState::lost; }));
  CHECK(std::chrono::steady_clock::now() - unplugged < 1s);
  CHECK(capture->devices()[0]->last_failure().find("gone") != std::string::npos);
  std::this_thread::sleep_for(300ms);
  bench.back.plug();
  const std::int64_t before = capture->recorder().rows[0];
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > before + 300; }));
  REQUIRE(capture->end());
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  const std::int64_t lost = check_rows(table_of(*reader, 0), 1000.0);
  CHECK(lost >= 300);
  CHECK(lost == capture->devices()[0]->health().missing_rows);
  CHECK(check_rows(table_of(*reader, 1), 1000.0) == 0);
}

TEST_CASE("a device that restarts begins a new run of its counter", "[recorder]") {
  Bench bench;
  const auto capture = begin(bench.station, bench.path);
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 700; }));
  bench.back.restart();
  REQUIRE(eventually([&] { return capture->devices()[0]->health().resets == 1; }));
  const std::int64_t before = capture->recorder().rows[0];
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > before + 300; }));
  REQUIRE(capture->end());
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  const Table table = table_of(*reader, 0);
  const auto map = fit_clock(reader->session().devices[0], table.blocks, table.rows.rows());
  REQUIRE(map);
  CHECK(map->segment_count() == 2);
}

TEST_CASE("a recorder that is held up loses nothing unseen", "[recorder]") {
  Bench bench;
  CaptureSettings settings;
  settings.queues.blocks = 8;
  settings.recorder.poll = 400ms;
  const auto capture = begin(bench.station, bench.path, settings);
  REQUIRE(eventually([&] { return capture->devices()[0]->health().refused_rows > 100; }));
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 200; }));
  REQUIRE(capture->end());
  CHECK(capture->recorder().fullest_queue == 1.0);
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  CHECK(check_rows(table_of(*reader, 0), 1000.0) > 0);
}

TEST_CASE("an existing file is never recorded over", "[recorder]") {
  const support::Folder folder;
  std::ofstream(folder / "session.h5") << "precious";
  const Station station = bench(folder);
  const auto refused = Capture::begin(station, somebody_at(station), folder / "session.h5");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("is there already") != std::string::npos);
  std::string content;
  std::ifstream(folder / "session.h5") >> content;
  CHECK(content == "precious");
}

TEST_CASE("too little room ends the recording well, with a message that says what is safe",
          "[recorder]") {
  Bench bench;
  CaptureSettings settings;
  settings.recorder.least_free_bytes = UINTMAX_MAX;
  const auto capture = begin(bench.station, bench.path, settings);
  REQUIRE(eventually([&] { return capture->recorder().end == RecorderEnd::disk_full; }));
  const auto ended = capture->end();
  REQUIRE_FALSE(ended);
  CHECK(ended.error().what.find("The disk is full") == 0);
  CHECK(ended.error().what.find(bench.path.string()) != std::string::npos);
  CHECK(session::Reader::open(bench.path));
}

TEST_CASE("a write that fails in the midst leaves everything flushed before readable",
          "[recorder]") {
  const rlim_t room = GENERATE(500'001, 650'000, 777'777, 1'000'000);
  CAPTURE(room);
  support::Folder folder;
  const auto path = folder / "session.h5";
  const Station station = bench(folder, 10000.0);
  int report[2];
  REQUIRE(pipe(report) == 0);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    // A size limit makes every write beyond it fail, as a full disk does.
    (void)std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{room, room};
    (void)setrlimit(RLIMIT_FSIZE, &limit);
    auto capture = Capture::begin(station, somebody_at(station), path, {});
    if (!capture) _exit(2);
    for (int i = 0; i < 500 && (*capture)->recorder().end == RecorderEnd::running; ++i)
      std::this_thread::sleep_for(10ms);
    const auto state = (*capture)->recorder();
    const std::string text = state.message;
    (void)!write(report[1], text.data(), text.size());
    _exit(state.end == RecorderEnd::write_failed ? 0 : 3);
  }
  const support::VirtualPlate back(folder / "back", {6, 10000.0, 50, 0});
  const support::VirtualPlate lead(folder / "lead", {6, 10000.0, 50, 0});
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  close(report[1]);
  std::string message(4096, '\0');
  message.resize(static_cast<std::size_t>(
      std::max<ssize_t>(0, read(report[0], message.data(), message.size()))));
  close(report[0]);
  CAPTURE(message);
  REQUIRE(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  CHECK(message.find("could not be written") != std::string::npos);
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  const Table table = table_of(*reader, 0);
  CHECK(table.rows.rows() > 1000);
  CHECK(check_rows(table, 10000.0) == 0);
}

TEST_CASE("a killed recording is readable, lost at most half a second and can be gone on with",
          "[recorder]") {
  support::Folder folder;
  const auto path = folder / "session.h5";
  const Station station = bench(folder);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    auto capture = Capture::begin(station, somebody_at(station), path, {});
    if (!capture) _exit(2);
    std::this_thread::sleep_for(60s);
    _exit(3);
  }
  support::VirtualPlate back(folder / "back");
  support::VirtualPlate lead(folder / "lead");
  std::this_thread::sleep_for(1500ms);
  const std::int64_t sent = back.rows_sent();
  REQUIRE(kill(child, SIGKILL) == 0);
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  REQUIRE(WIFSIGNALED(status));

  std::int64_t before = 0;
  {
    const auto reader = session::Reader::open(path);
    REQUIRE(reader);
    const Table table = table_of(*reader, 0);
    CHECK(check_rows(table, 1000.0) == 0);
    before = table.rows.rows();
    CHECK(table.rows(before - 1, 0) / 64 > sent - 500);
  }
  {
    auto capture = Capture::resume(station, path);
    if (!capture) FAIL(capture.error().sentence());
    REQUIRE(eventually([&] { return (*capture)->recorder().rows[0] > before + 500; }));
    REQUIRE((*capture)->end());
  }
  const auto reader = session::Reader::open(path);
  REQUIRE(reader);
  for (int device : {0, 1}) {
    const Table table = table_of(*reader, device);
    CHECK(check_rows(table, 1000.0) > 0);  // the break, as wide as the block says
    const auto map = fit_clock(reader->session().devices[0], table.blocks, table.rows.rows());
    REQUIRE(map);
    CHECK(map->segment_count() == 1);
  }
  CHECK_FALSE(std::filesystem::exists(folder / ".session.h5.continue"));
}

TEST_CASE("a radar that stalls, or talks nonsense without end, does not stall the plates",
          "[recorder][stalled radar]") {
  const bool talks = GENERATE(false, true);
  CAPTURE(talks);
  Bench bench;
  bench.radar.reset();
  const auto pipe = (bench.folder / "radar").string();
  REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
  const auto capture = begin(bench.station, bench.path);
  std::jthread nonsense;
  if (talks)
    nonsense = std::jthread([&](const std::stop_token& stop) {
      const int writer = ::open(pipe.c_str(), O_WRONLY);
      // No end of line ever: half a megabyte a second of what is no reading.
      const std::string noise(5000, '#');
      while (writer >= 0 && !stop.stop_requested()) {
        (void)!::write(writer, noise.data(), noise.size());
        std::this_thread::sleep_for(10ms);
      }
      ::close(writer);
    });
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 200; }));
  const std::int64_t before = capture->recorder().rows[0];
  std::this_thread::sleep_for(1s);
  const auto came = capture->recorder().rows[0] - before;
  CHECK(came > 700);
  nonsense = {};
  const auto asked = std::chrono::steady_clock::now();
  REQUIRE(capture->end());
  CHECK(std::chrono::steady_clock::now() - asked < 1s);
  CHECK(capture->devices()[0]->health().gaps == 0);
  CHECK(capture->devices()[1]->health().gaps == 0);
  CHECK(capture->events().front().device->health().accepted == 0);
}

TEST_CASE("little room is said in time and ends nothing", "[recorder][low disk]") {
  Bench bench;
  CaptureSettings settings;
  settings.recorder.warn_free_bytes = UINTMAX_MAX;
  const auto capture = begin(bench.station, bench.path, settings);
  REQUIRE(eventually([&] { return !capture->recorder().message.empty(); }));
  CHECK(capture->recorder().message.find("MB are left") != std::string::npos);
  const std::int64_t rows = capture->recorder().rows[0];
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > rows + 500; }));
  CHECK(capture->recorder().end == RecorderEnd::running);
  REQUIRE(capture->end());
}

TEST_CASE("a disk that fills up ends the recording with everything so far in the file",
          "[recorder][disk full]") {
  const support::Folder folder;
  const auto disk = folder / "disk";
  std::filesystem::create_directory(disk);
  if (::mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=4m") != 0) {
    WARN("SKIPPED: a small disk of its own needs the right to mount one");
    return;
  }
  {
    const Station station = bench(folder, 10000.0);
    const support::VirtualPlate back(folder / "back", {6, 10000.0, 50, 0});
    const support::VirtualPlate lead(folder / "lead", {6, 10000.0, 50, 0});
    CaptureSettings settings;
    settings.recorder.least_free_bytes = 0;  // until a write fails
    const auto capture = begin(station, disk / "s.h5", settings);
    for (int i = 0; i < 3000 && capture->recorder().end == RecorderEnd::running; ++i)
      std::this_thread::sleep_for(10ms);
    CHECK(capture->recorder().end == RecorderEnd::write_failed);
    const auto ended = capture->end();
    REQUIRE_FALSE(ended);
    CHECK(ended.error().what.find("make room or take another disk") != std::string::npos);
    const auto again = capture->end();  // closing a second time is no second failure
    REQUIRE_FALSE(again);
    CHECK(again.error().what == ended.error().what);
    const auto reader = session::Reader::open(disk / "s.h5");
    REQUIRE(reader);
    const Table table = table_of(*reader, 0);
    // 4 MB hold some 80,000 rows of two plates; the first seconds must be there.
    CHECK(table.rows.rows() > 50'000);
    CHECK(check_rows(table, 10000.0) == 0);
  }
  CHECK(::umount(disk.c_str()) == 0);
}

TEST_CASE("a recording's file cut off anywhere is read or refused in words", "[recorder][cut]") {
  Bench bench;
  {
    const auto capture = begin(bench.station, bench.path);
    REQUIRE(eventually([&] { return capture->recorder().rows[0] > 500; }));
    REQUIRE(capture->end());
  }
  const auto size = std::filesystem::file_size(bench.path);
  const auto cut = bench.folder / "cut.h5";
  for (std::uintmax_t length = 0; length < size; length += 1 + size / 97) {
    std::filesystem::copy_file(bench.path, cut, std::filesystem::copy_options::overwrite_existing);
    std::filesystem::resize_file(cut, length);
    CAPTURE(length, size);
    const auto reader = session::Reader::open(cut);
    if (reader) {
      (void)check_rows(table_of(*reader, 0), 1000.0);
    } else {
      CHECK(reader.error().where.find("cut.h5") != std::string::npos);
    }
  }
}

TEST_CASE("reading and writing run ahead of ordinary programs where that is allowed",
          "[recorder][urgent]") {
  int policy = -1, nice = 0;
  std::thread([&] {
    make_this_thread_urgent();
    policy = sched_getscheduler(0);
    nice = getpriority(PRIO_PROCESS, static_cast<id_t>(gettid()));
  }).join();
  rlimit real_time{}, better{};
  REQUIRE(getrlimit(RLIMIT_RTPRIO, &real_time) == 0);
  REQUIRE(getrlimit(RLIMIT_NICE, &better) == 0);
  if (geteuid() == 0 || real_time.rlim_cur >= 20) {
    CHECK((policy & ~SCHED_RESET_ON_FORK) == SCHED_RR);
  } else if (better.rlim_cur >= 30) {
    CHECK(nice == -10);
  } else {
    WARN("SKIPPED: this user may not run anything ahead of others");
  }
}

TEST_CASE("a session is gone on with only at the station that recorded it", "[recorder]") {
  Bench bench;
  {
    const auto capture = begin(bench.station, bench.path);
    REQUIRE(eventually([&] { return capture->recorder().rows[0] > 50; }));
    REQUIRE(capture->end());
  }
  Station other = bench.station;
  other.session.devices[1].channels[0].scale = 0.02;
  const auto refused = Capture::resume(other, bench.path);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("other devices or calibrations") != std::string::npos);
  CHECK(session::Reader::open(bench.path));
}

TEST_CASE("a session that is being recorded is not gone on with, and loses nothing", "[recorder]") {
  Bench bench;
  const auto capture = begin(bench.station, bench.path);
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > 50; }));
  const auto refused = Capture::resume(bench.station, bench.path);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().sentence().find("another program is writing") != std::string::npos);
  CHECK_FALSE(std::filesystem::exists(bench.folder / ".session.h5.continue"));
  const std::int64_t then = capture->recorder().rows[0];
  REQUIRE(eventually([&] { return capture->recorder().rows[0] > then + 50; }));
  REQUIRE(capture->end());
  const auto reader = session::Reader::open(bench.path);
  REQUIRE(reader);
  const Table table = table_of(*reader, 0);
  CHECK(table.rows.rows() > then);
  CHECK(check_rows(table, 1000.0) == 0);
}

TEST_CASE("a session is not gone on with by a clock that was set back, nor harmed by it",
          "[recorder][clock set back]") {
  // A computer that lost its time with its power: by its clock the session began a minute ago, or
  // is yet to begin, and what came last came two minutes after the beginning.
  for (const auto began_ago : {60s, -3600s}) {
    const support::Folder folder;
    const auto path = folder / "session.h5";
    const Station station = bench(folder);
    session::Session session = somebody_at(station);
    session.id = "kept";
    session.started =
        iso_text(std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now()) -
                 began_ago);
    const std::vector<std::int32_t> row(station.session.devices[0].channels.size(), 7);
    {
      auto writer = session::Writer::create(path, session, {0, false});
      REQUIRE(writer);
      REQUIRE(writer->append(0, {0, DeviceTicks{0}, session_time(120.0), 0},
                             std::span<const std::int32_t>(row)));
      REQUIRE(writer->flush());
    }
    const auto refused = Capture::resume(station, path);
    REQUIRE_FALSE(refused);
    CAPTURE(refused.error().sentence());
    CHECK(refused.error().sentence().find("clock") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder / ".session.h5.continue"));
    const auto reader = session::Reader::open(path);
    REQUIRE(reader);
    CHECK(reader->sample_count(0) == 1);
  }
}
