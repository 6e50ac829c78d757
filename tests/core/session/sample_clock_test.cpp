// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/sample_clock.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <vector>

using namespace moundwork;

namespace {

constexpr double tick_rate = 1e6;

DeviceTicks ticks_at(double device_seconds) {
  return DeviceTicks{std::llround(device_seconds * tick_rate)};
}

}  // namespace

TEST_CASE("blocks are fitted at their last sample", "[time]") {
  session::Device device;
  device.name = "back plate";
  device.sample_rate = 1000.0;
  device.tick_rate = tick_rate;
  device.delay = {0.001, 0.0001};
  std::vector<session::Block> blocks;
  std::int64_t row = 0;
  // Blocks of changing length: only the last sample's age at arrival is the same for all.
  for (int i = 0; i < 4000; ++i) {
    const int count = 5 + (i * 7) % 20;
    const double first = 0.001 * static_cast<double>(row);
    const double last = first + 0.001 * (count - 1);
    blocks.push_back({row, ticks_at(first), session_time(10.0 + last + 0.001), 0});
    row += count;
  }
  const auto map = fit_clock(device, blocks, row);
  REQUIRE(map);
  CHECK(seconds(map->at(ticks_at(7.0))) == Approx(17.0).margin(2e-6));

  const std::vector<session::Block> imported{{0, DeviceTicks{0}, session_time(0.25), 0}};
  const auto plain = fit_clock(device, imported, 100);
  REQUIRE(plain);
  CHECK(seconds(plain->at(ticks_at(1.0))) == Approx(1.25).margin(1e-12));
  CHECK(plain->u() == 0.0);
}

TEST_CASE("a counter's rate that is stated wrongly moves no sample and loses none", "[time]") {
  const double off = GENERATE(-1.9e-3, -1e-3, 2e-4, 1e-3, 1.5e-3, 1e-2);
  CAPTURE(off);
  session::Device device;
  device.name = "back plate";
  device.sample_rate = 1000.0;
  device.tick_rate = tick_rate * (1.0 + off);
  device.delay = {0.0, 0.0};
  std::vector<session::Block> blocks;
  std::mt19937 random(11);  // NOLINT: the same delays each time
  std::uniform_real_distribution<double> late(0.0, 0.008);
  constexpr int size = 10;
  constexpr double length = 90.0;
  std::int64_t row = 0;
  for (; static_cast<double>(row) < 1000.0 * length; row += size) {
    const double first = 0.001 * static_cast<double>(row);
    blocks.push_back(
        {row, ticks_at(first), session_time(first + 0.001 * (size - 1) + late(random)), 0});
  }
  const auto clock = session::SampleClock::make(device, blocks, row);
  REQUIRE(clock);
  REQUIRE(clock->runs().size() == 1);
  const auto& run = clock->runs().front();
  for (const double time : {1.0, 15.0, 45.0, 89.0}) {
    CAPTURE(time);
    const auto at = seconds(clock->at(run, static_cast<Eigen::Index>(std::llround(1000.0 * time))));
    CHECK(at == Approx(time).margin(0.002));
  }
}
