// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/link.h"

#include <atomic>
#include <catch2/catch.hpp>

using namespace moundwork;
using namespace moundwork::drivers;
using namespace std::chrono_literals;

namespace {

struct Calls {
  std::atomic<int> opened{0}, refused{0}, failed{0}, closed{0}, closed_when_shut{0};
};

/// Is opened, gives so many single bytes and then breaks; again after each opening.
class BreakingTransport : public Transport {
 public:
  BreakingTransport(Calls& calls, int good_reads, bool there)
      : calls_(calls), good_reads_(good_reads), there_(there) {}
  Result<void> open() override {
    if (!there_) {
      ++calls_.refused;
      return fail("the port", "is not there", "plug it in");
    }
    ++calls_.opened;
    is_open_ = true;
    left_ = good_reads_;
    return {};
  }
  Result<std::size_t> read(std::span<std::uint8_t> into, std::chrono::milliseconds) override {
    if (left_-- <= 0) {
      ++calls_.failed;
      return fail("the port", "broke while it was read", "look at the cable");
    }
    into[0] = 7;
    return 1;
  }
  void close() noexcept override {
    ++calls_.closed;
    if (!is_open_) ++calls_.closed_when_shut;
    is_open_ = false;
  }
  [[nodiscard]] bool live() const override { return false; }
  [[nodiscard]] std::string describe() const override { return "the port"; }

 private:
  Calls& calls_;
  int good_reads_;
  bool there_;
  bool is_open_ = false;
  int left_ = 0;
};

/// What a link did with such a transport in some 0.4 s, and how long stop() took.
struct Run {
  Calls calls;
  DeviceHealth health;
  std::atomic<int> bytes{0}, lost{0};
  std::string last_failure;
  std::chrono::milliseconds took{};  // longer than asked for on a busy computer
  std::chrono::steady_clock::duration stopping{};

  Run(int good_reads, bool there) {
    LinkHandlers handlers{[&](Bytes got, SessionTime) { bytes += static_cast<int>(got.size()); },
                          [&] { ++lost; }, [] {}};
    Link link(std::make_unique<BreakingTransport>(calls, good_reads, there),
              HostClock(std::chrono::steady_clock::now()), std::move(handlers), health);
    const auto start = std::chrono::steady_clock::now();
    link.start();
    std::this_thread::sleep_for(400ms);
    const auto begin = std::chrono::steady_clock::now();
    link.stop();
    const auto end = std::chrono::steady_clock::now();
    stopping = end - begin;
    took = std::chrono::ceil<std::chrono::milliseconds>(end - start);
    link.stop();  // may be called again
    last_failure = link.last_failure();
  }
};

}  // namespace

TEST_CASE("a port that breaks at every read is closed once each time, told, and does not spin",
          "[device][faults]") {
  for (const int good_reads : {0, 3}) {
    const Run run(good_reads, true);
    CAPTURE(good_reads, run.calls.opened.load(), run.calls.failed.load());
    CHECK(run.calls.opened >= 2);  // it was tried again
    CHECK(run.calls.opened <= run.took / 20ms + 1);
    CHECK(run.calls.closed == run.calls.opened);
    CHECK(run.calls.closed_when_shut == 0);
    CHECK(run.calls.failed == run.lost);
    CHECK(run.health.times_lost == static_cast<std::uint64_t>(run.calls.failed));
    CHECK(run.bytes >= good_reads);
    CHECK(run.last_failure.find("broke while it was read") != std::string::npos);
    CHECK(run.health.state == LinkState::closed);
    CHECK(run.stopping < 1s);
  }
}

TEST_CASE("a port that is not there is tried in its time and never closed", "[device][faults]") {
  const Run run(0, false);
  CHECK(run.calls.refused >= 1);
  CHECK(run.calls.refused <= run.took / LinkSettings{}.retry + 1);
  CHECK(run.calls.closed == 0);
  CHECK(run.lost == 0);
  CHECK(run.last_failure.find("is not there") != std::string::npos);
  CHECK(run.stopping < 1s);
}
