// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/sample_clock.h"

#include <catch2/catch.hpp>
#include <cmath>
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
