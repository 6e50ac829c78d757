// SPDX-License-Identifier: GPL-3.0-or-later
// Measures what docs/measured.md says of capture, on virtual ports. The recorder runs in a process
// of its own, which can then be killed; the devices run here.
//   capture_survival kills N | unplugs N | load SECONDS RATE
#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sched.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <cstdlib>
#include <memory>
#include <random>
#include <string_view>
#include <thread>
#include <vector>

#include "core/session/reader.h"
#include "drivers/recorder/capture.h"
#include "support/drivers/virtual_plate.h"
#include "support/folder.h"

using namespace moundwork;
using namespace std::chrono_literals;

namespace {

volatile std::sig_atomic_t asked_to_end = 0;

/// Rows that the recorder's process has read of each device, seen from here even after a kill.
struct Shared {
  std::atomic<std::int64_t> rows[2];
  std::atomic<double> longest_flush, longest_unsafe;  // s
};
Shared* shared = nullptr;

void check(bool condition, const std::string& what) {
  if (condition) return;
  fmt::print(stderr, "{}\n", what);
  std::exit(1);
}

drivers::Station station_in(const support::Folder& folder, double rate, int channels = 6) {
  auto station =
      drivers::parse_station(support::virtual_station_text(rate), folder / "station.toml");
  check(station.has_value(), "the station is refused");
  for (auto& device : station->session.devices)
    while (static_cast<int>(device.channels.size()) < channels)
      device.channels.push_back({fmt::format("extra{}", device.channels.size()), "V"});
  return *station;
}

/// Records until SIGTERM in a process of its own; `report` gets CPU seconds.
pid_t record_apart(const drivers::Station& station, const std::filesystem::path& path,
                   bool one_core = false) {
  const pid_t child = fork();
  if (child != 0) return child;
  // Whatever this program was given, the recorder gets only what it asks for itself.
  const sched_param ordinary{};
  (void)sched_setscheduler(0, SCHED_OTHER, &ordinary);
  if (one_core) {
    cpu_set_t cores;
    CPU_ZERO(&cores);
    CPU_SET(0, &cores);
    (void)sched_setaffinity(0, sizeof cores, &cores);
  }
  (void)std::signal(SIGTERM, [](int) { asked_to_end = 1; });
  session::Session session = station.session;
  session.athlete.id = "bench";
  session.athlete.mass = {80.0, 0.1};
  auto capture = drivers::Capture::begin(station, session, path);
  if (!capture) _exit(2);
  while (asked_to_end == 0) {
    for (std::size_t d = 0; d < 2; ++d)
      shared->rows[d] = (*capture)->devices()[d]->health().rows.load();
    const auto state = (*capture)->recorder();
    shared->longest_flush = state.longest_flush;
    shared->longest_unsafe = state.longest_unsafe;
    std::this_thread::sleep_for(2ms);
  }
  const bool ended = (*capture)->end().has_value();
  const auto state = (*capture)->recorder();
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  const auto seconds_of = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  fmt::print("recorder: {:.2f} s of CPU, longest flush {:.1f} ms, fullest queue {:.1f} %\n",
             seconds_of(used.ru_utime) + seconds_of(used.ru_stime), 1e3 * state.longest_flush,
             100.0 * state.fullest_queue);
  for (const auto& device : (*capture)->devices())
    fmt::print("{}: {} rows, {} missing, {} refused, {} bad frames\n", device->name(),
               device->health().rows.load(), device->health().missing_rows.load(),
               device->health().refused_rows.load(),
               device->health().bad_checksum.load() + device->health().malformed.load());
  std::fflush(stdout);
  _exit(ended ? 0 : 3);
}

struct Verdict {
  bool readable = false;
  bool true_rows = true;  ///< every row says what it should, every gap is as wide as stated
  std::int64_t rows = 0;
  std::int64_t gaps = 0;
};

Verdict judge(const std::filesystem::path& path, int device) {
  Verdict verdict;
  const auto reader = session::Reader::open(path);
  if (!reader) return verdict;
  const auto blocks = reader->blocks(device);
  session::RawTable<std::int32_t> table;
  if (!blocks || !reader->read(device, 0, reader->sample_count(device), table)) return verdict;
  verdict.readable = true;
  verdict.rows = table.rows();
  std::int64_t expected = -1;
  for (std::size_t b = 0; b < blocks->size(); ++b) {
    const auto& block = (*blocks)[b];
    const std::int64_t end = b + 1 < blocks->size() ? (*blocks)[b + 1].first_sample : verdict.rows;
    if (end == block.first_sample) continue;
    std::int64_t row = table(block.first_sample, 0) / 64;
    if (expected >= 0 && row - expected != block.missing_before) verdict.true_rows = false;
    if (block.missing_before > 0) ++verdict.gaps;
    for (std::int64_t r = block.first_sample; r < end; ++r, ++row)
      for (int c = 0; c < table.cols(); ++c)
        if (table(r, c) != static_cast<std::int32_t>(64 * row + c)) verdict.true_rows = false;
    expected = row;
  }
  return verdict;
}

void kills(int count) {
  std::mt19937 random(7);
  int unreadable = 0, untrue = 0, absent = 0;
  std::vector<double> lost;
  for (int i = 0; i < count; ++i) {
    const support::Folder folder;
    const auto path = folder / "session.h5";
    const auto station = station_in(folder, 1000.0);
    shared->rows[0] = shared->rows[1] = 0;
    shared->longest_flush = shared->longest_unsafe = 0.0;
    const pid_t child = record_apart(station, path);
    support::VirtualPlate back(folder / "back"), lead(folder / "lead");
    std::this_thread::sleep_for(std::chrono::microseconds(50'000 + random() % 1'950'000));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    if (!std::filesystem::exists(path)) {
      ++absent;  // killed before the file had its name
      continue;
    }
    for (const int device : {0, 1}) {
      const Verdict verdict = judge(path, device);
      unreadable += !verdict.readable;
      untrue += !verdict.true_rows;
      if (!verdict.readable) continue;
      lost.push_back(static_cast<double>(shared->rows[device] - verdict.rows) / 1000.0);
      if (lost.back() > 0.4)
        fmt::print(
            "kill {}, device {}: {:.3f} s lost; longest flush {:.3f} s, longest unsafe {:.3f} s\n",
            i, device, lost.back(), shared->longest_flush.load(), shared->longest_unsafe.load());
    }
  }
  std::sort(lost.begin(), lost.end());
  fmt::print(
      "{} kills: {} tables unreadable, {} with untrue rows, {} before the file was there; "
      "lost of what had been read, s: median {:.3f}, greatest {:.3f}\n",
      count, unreadable, untrue, absent, lost.empty() ? 0.0 : lost[lost.size() / 2],
      lost.empty() ? 0.0 : lost.back());
}

void unplugs(int count) {
  std::mt19937 random(8);
  const support::Folder folder;
  const auto path = folder / "session.h5";
  const pid_t child = record_apart(station_in(folder, 1000.0), path);
  {
    support::VirtualPlate back(folder / "back"), lead(folder / "lead");
    for (int i = 0; i < count; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(400 + random() % 400));
      back.unplug();
      std::this_thread::sleep_for(std::chrono::milliseconds(50 + random() % 500));
      back.plug();
    }
    std::this_thread::sleep_for(1s);
    kill(child, SIGTERM);
    waitpid(child, nullptr, 0);
  }
  for (const int device : {0, 1}) {
    const Verdict verdict = judge(path, device);
    fmt::print("device {}: {} rows, {} gaps, {}\n", device, verdict.rows, verdict.gaps,
               verdict.readable && verdict.true_rows ? "every row and gap true" : "NOT TRUE");
  }
}

/// A plate on the network, as one that sends this much would be: a serial line does not carry it,
/// and on a busy computer the kernel moves a pseudo-terminal's bytes at an ordinary program's
/// priority. What the reader has not taken waits in the socket.
class NetworkPlate {
 public:
  explicit NetworkPlate(const support::VirtualPlateSettings& settings) : settings_(settings) {
    listening_ = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    const int room = 4 << 20;
    check(listening_ >= 0 &&
              ::setsockopt(listening_, SOL_SOCKET, SO_SNDBUF, &room, sizeof room) == 0 &&
              ::bind(listening_, reinterpret_cast<sockaddr*>(&address), size) == 0 &&
              ::listen(listening_, 1) == 0 &&
              ::getsockname(listening_, reinterpret_cast<sockaddr*>(&address), &size) == 0,
          "no network port to be had");
    port_ = std::to_string(ntohs(address.sin_port));
  }
  NetworkPlate(const NetworkPlate&) = delete;
  NetworkPlate& operator=(const NetworkPlate&) = delete;
  ~NetworkPlate() {
    thread_ = {};
    ::close(listening_);
  }
  [[nodiscard]] const std::string& port() const { return port_; }
  /// Call after the recorder's process was made, which would inherit the thread's locks.
  void start() {
    thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
  }
  [[nodiscard]] std::int64_t rows_sent() const { return rows_sent_; }

 private:
  void run(const std::stop_token& stop) {
    const int reader = ::accept(listening_, nullptr, nullptr);
    const auto began = std::chrono::steady_clock::now();
    std::uint32_t sequence = 0;
    while (!stop.stop_requested()) {
      const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - began;
      const auto due = static_cast<std::int64_t>(elapsed.count() * settings_.rate);
      while (rows_sent_ + settings_.rows_per_frame <= due) {
        const auto bytes =
            drivers::encode(support::numbered_frame(rows_sent_, sequence++, settings_),
                            drivers::SampleWidth::four_bytes);
        if (::send(reader, bytes.data(), bytes.size(), MSG_NOSIGNAL) !=
            static_cast<ssize_t>(bytes.size()))
          return;
        rows_sent_ += settings_.rows_per_frame;
      }
      std::this_thread::sleep_for(2ms);
    }
    ::close(reader);
  }
  support::VirtualPlateSettings settings_;
  int listening_ = -1;
  std::string port_;
  std::atomic<std::int64_t> rows_sent_{0};
  std::jthread thread_;
};

void load(double length, double rate) {
  const support::Folder folder;
  const auto path = folder / "session.h5";
  const int frame = std::max(1, static_cast<int>(rate / 200.0));
  const support::VirtualPlateSettings settings{8, rate, frame, 0};
  NetworkPlate back(settings), lead(settings);
  auto station = station_in(folder, rate, 8);
  station.devices[0].port = drivers::TcpPort{"127.0.0.1", back.port()};
  station.devices[1].port = drivers::TcpPort{"127.0.0.1", lead.port()};
  const pid_t child = record_apart(station, path, true);
  back.start();
  lead.start();
  std::this_thread::sleep_for(std::chrono::duration<double>(length));
  kill(child, SIGTERM);
  waitpid(child, nullptr, 0);
  const std::int64_t sent[] = {back.rows_sent(), lead.rows_sent()};
  for (const int device : {0, 1}) {
    const Verdict verdict = judge(path, device);
    fmt::print("device {}: {} rows in the file, {} sent by the end, {} gaps, {}\n", device,
               verdict.rows, sent[device], verdict.gaps,
               verdict.readable && verdict.true_rows ? "every row true" : "NOT TRUE");
  }
}

}  // namespace

int main(int argc, char** argv) {
  void* memory =
      mmap(nullptr, sizeof(Shared), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  check(memory != MAP_FAILED, "no shared memory to be had");
  shared = new (memory) Shared{};
  const std::string_view what = argc > 1 ? argv[1] : "";
  if (what == "kills" && argc == 3) {
    kills(std::atoi(argv[2]));
  } else if (what == "unplugs" && argc == 3) {
    unplugs(std::atoi(argv[2]));
  } else if (what == "load" && argc == 4) {
    load(std::atof(argv[2]), std::atof(argv[3]));
  } else {
    fmt::print(stderr, "capture_survival kills N | unplugs N | load SECONDS RATE\n");
    return 2;
  }
  return 0;
}
