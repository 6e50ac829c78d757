// SPDX-License-Identifier: GPL-3.0-or-later
#include "drivers/device/sample_assembler.h"

#include <catch2/catch.hpp>

using namespace moundwork;
using namespace moundwork::drivers;

namespace {

/// A 1 kHz device with a microsecond counter of 32 bits, ten rows a frame, read as soon as sent.
struct Bench {
  SampleAssembler assembler{{1, 1000.0, 1e6, 32, 0.1, 30.0}};
  std::vector<SampleBlock> blocks;
  std::vector<double> values = std::vector<double>(10);

  void frame(std::uint64_t count, double arrival) {
    assembler.push({count, 0, 10, values}, session_time(arrival), sink());
  }
  void frame_without_counter(std::int64_t lost, double arrival) {
    assembler.push({std::nullopt, lost, 10, values}, session_time(arrival), sink());
  }
  SampleAssembler::Sink sink() {
    return [this](const SampleBlock& block) { blocks.push_back(block); };
  }
  void end_of_read() { assembler.flush(sink()); }
};

}  // namespace

TEST_CASE("frames of one read become one block", "[device]") {
  Bench bench;
  bench.frame(5000, 1.0);
  bench.frame(15000, 1.0);
  bench.end_of_read();
  bench.frame(25000, 1.02);
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 2);
  CHECK(bench.blocks[0].rows == 20);
  CHECK(bench.blocks[0].values.size() == 20);
  CHECK(bench.blocks[0].ticks == DeviceTicks{5000});
  CHECK(bench.blocks[1].ticks == DeviceTicks{25000});
  CHECK(bench.blocks[1].arrival == session_time(1.02));
  CHECK(bench.assembler.gaps().gaps == 0);
}

TEST_CASE("a lost frame is a gap of so many rows, between two blocks of the same read",
          "[device]") {
  Bench bench;
  bench.frame(0, 1.0);
  bench.frame(40000, 1.04);
  bench.frame(50000, 1.04);
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 2);
  CHECK(bench.blocks[1].missing_before == 30);
  CHECK(bench.blocks[1].rows == 20);
  CHECK(bench.assembler.gaps().gaps == 1);
  CHECK(bench.assembler.gaps().missing_rows == 30);
}

TEST_CASE("the counter is carried over its wrap", "[device]") {
  Bench bench;
  bench.frame(0xFFFFFFFFU - 9999, 1.0);
  bench.frame(0, 1.01);
  bench.frame(20000, 1.03);  // and one frame lost after it
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 3);
  CHECK(bench.blocks[1].ticks == DeviceTicks{0x100000000});
  CHECK(bench.blocks[1].missing_before == 0);
  CHECK(bench.blocks[2].ticks == DeviceTicks{0x100000000 + 20000});
  CHECK(bench.blocks[2].missing_before == 10);
}

TEST_CASE("a backlog delivered late is not taken for a reset, nor is what was lost in it",
          "[device]") {
  Bench bench;
  for (int i = 0; i < 100; ++i) bench.frame(static_cast<std::uint64_t>(i) * 10000, 0.01 * i + 0.01);
  // The host slept for 5 s; the first of it was kept, 3 s overran the device's memory.
  bench.frame(1000000, 6.0);
  bench.frame(1010000, 6.0);
  bench.frame(4020000, 6.0);
  bench.frame(5990000, 6.005);
  bench.end_of_read();
  CHECK(bench.assembler.gaps().resets == 0);
  CHECK(bench.assembler.gaps().missing_rows == 3000 + 1960);
}

TEST_CASE("rows lost in a backlog of any length are lost, and no counter began anew", "[device]") {
  Bench bench;
  for (int i = 0; i < 100; ++i) bench.frame(static_cast<std::uint64_t>(i) * 10000, 0.01 * i + 0.01);
  // The program stood still for 40 s; 39 s of rows were kept for it, then 160 rows had no room.
  for (int i = 100; i < 4000; ++i) bench.frame(static_cast<std::uint64_t>(i) * 10000, 41.0);
  bench.frame(40000000 + 160000, 41.0);
  bench.end_of_read();
  CHECK(bench.assembler.gaps().resets == 0);
  CHECK(bench.assembler.gaps().gaps == 1);
  CHECK(bench.assembler.gaps().missing_rows == 160);
  CHECK(bench.blocks.back().missing_before == 160);
}

TEST_CASE("rows lost behind a backlog at the opening are a gap, not a reset", "[device]") {
  Bench bench;
  bench.frame(1000000, 50.0);
  bench.frame(1010000, 50.0);
  bench.frame(1800000, 50.0);
  bench.end_of_read();
  CHECK(bench.assembler.gaps().resets == 0);
  CHECK(bench.assembler.gaps().missing_rows == 780);
}

TEST_CASE("a restarted counter is a reset with the loss told by the host's clock", "[device]") {
  for (const std::uint64_t restarted : {std::uint64_t{0}, std::uint64_t{900000000}}) {
    Bench bench;
    bench.frame(7000000, 10.0);
    bench.frame(7010000, 10.01);
    bench.assembler.interrupted();
    bench.frame(restarted, 12.51);
    bench.end_of_read();
    REQUIRE(bench.blocks.size() == 3);
    CHECK(bench.blocks[2].ticks == DeviceTicks{static_cast<std::int64_t>(restarted)});
    CHECK(bench.blocks[2].missing_before == 2500);
    CHECK(bench.assembler.gaps().resets == 1);
  }
}

TEST_CASE("a counter that ran on through an unplugging tells the loss exactly", "[device]") {
  Bench bench;
  bench.frame(7000000, 10.0);
  bench.assembler.interrupted();
  // Three hours and a jitter of 30 ms later, the 32-bit counter has wrapped twice.
  const std::uint64_t later = 7010000 + 10800ULL * 1000000;
  bench.frame(later & 0xFFFFFFFFU, 10810.04);
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 2);
  CHECK(bench.blocks[1].ticks == DeviceTicks{static_cast<std::int64_t>(later)});
  CHECK(bench.blocks[1].missing_before == 10800 * 1000);
  CHECK(bench.assembler.gaps().resets == 0);
}

TEST_CASE("a slow counter is not taken for a reset after a day", "[device]") {
  Bench bench;
  // 200 ppm slow: 17 s behind after a day, 30 s are allowed for a backlog at one time.
  for (int hour = 0; hour <= 240; ++hour) {
    bench.frame((static_cast<std::uint64_t>(hour) * 3600000000ULL) & 0xFFFFFFFFU,
                3600.0 * hour * (1.0 + 200e-6) + 1.0);
    bench.assembler.interrupted();
  }
  CHECK(bench.assembler.gaps().resets == 0);
}

TEST_CASE("rows the recorder could not take are a gap before the next block", "[device]") {
  Bench bench;
  bench.frame(0, 1.0);
  bench.assembler.flush([&](const SampleBlock& block) { bench.assembler.refused(block); });
  bench.frame(10000, 1.01);
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 1);
  CHECK(bench.blocks[0].missing_before == 10);
  CHECK(bench.assembler.gaps().gaps == 1);
  CHECK(bench.assembler.gaps().missing_rows == 10);
}

TEST_CASE("without a counter rows count themselves and an unplugging is told by the clock",
          "[device]") {
  Bench bench;
  bench.frame_without_counter(4, 1.0);  // before the first row nothing can be missing
  bench.frame_without_counter(0, 1.01);
  bench.frame_without_counter(2, 1.02);
  bench.assembler.interrupted();
  bench.frame_without_counter(0, 3.02);
  bench.end_of_read();
  REQUIRE(bench.blocks.size() == 4);
  CHECK(bench.blocks[0].missing_before == 0);
  CHECK(bench.blocks[2].missing_before == 2);
  CHECK(bench.blocks[3].missing_before == 2000);
  const auto ticks = [&](std::size_t i) {
    return static_cast<std::int64_t>(bench.blocks[i].ticks);
  };
  CHECK(ticks(2) - ticks(1) == 12000);
  CHECK(ticks(3) - ticks(2) == 2010000);
}

TEST_CASE("a device that restarts without leaving its port is a reset, told once", "[device]") {
  Bench bench;
  for (int i = 0; i < 50; ++i)
    bench.frame(70000000 + static_cast<std::uint64_t>(i) * 10000, 10.0 + 0.01 * i);
  // Two seconds of booting.
  for (int i = 0; i < 50; ++i) bench.frame(static_cast<std::uint64_t>(i) * 10000, 12.49 + 0.01 * i);
  bench.end_of_read();
  CHECK(bench.assembler.gaps().resets == 1);
  CHECK(bench.assembler.gaps().gaps == 1);
  CHECK(bench.assembler.gaps().missing_rows == 2000);
}

TEST_CASE("a computer that slept, its clock standing still, finds the loss by the counter",
          "[device]") {
  Bench bench;
  for (int i = 0; i < 50; ++i) bench.frame(static_cast<std::uint64_t>(i) * 10000, 0.01 * i);
  // Ten seconds on the device's side, none on ours.
  for (int i = 0; i < 50; ++i)
    bench.frame(10500000 + static_cast<std::uint64_t>(i) * 10000, 0.5 + 0.01 * i);
  bench.end_of_read();
  CHECK(bench.assembler.gaps().resets == 0);
  CHECK(bench.assembler.gaps().missing_rows == 10000);
}

TEST_CASE("a device that sends twice the stated rate is not recorded as if it were sound",
          "[device]") {
  Bench bench;
  std::int64_t rows = 0;
  for (int i = 0; i < 100; ++i) {
    bench.frame(static_cast<std::uint64_t>(i) * 5000, 0.005 * i);
    rows += 10;
  }
  bench.end_of_read();
  std::int64_t kept = 0;
  for (const auto& block : bench.blocks) kept += block.rows;
  CHECK(kept == rows);                         // every row that came
  CHECK(bench.assembler.gaps().resets >= 90);  // and hardly a frame without complaint
}
