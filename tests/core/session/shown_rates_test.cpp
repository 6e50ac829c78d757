// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/shown_rates.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace moundwork;
using session::shown_rates;

namespace {

/// A plate that samples at 1000 Hz with a counter of 1 MHz, read in blocks of 20, each up to 18 ms
/// late.
struct Plate {
  session::Device device{"back plate", session::SampleType::int32, 1000.0, 1e6, {0.0, 0.0}, {}};
  std::vector<session::Block> blocks;
  Eigen::Index rows = 0;

  explicit Plate(double seconds, double skew = 0.0) {
    std::mt19937 random(7);  // NOLINT: the same delays each time
    std::uniform_real_distribution<double> late(0.0, 0.018);
    constexpr int size = 20;
    for (; static_cast<double>(rows) < 1000.0 * seconds; rows += size) {
      const double sent = static_cast<double>(rows + size - 1) / 1000.0 * (1.0 + skew);
      blocks.push_back(
          {rows, DeviceTicks{rows * 1000 + 5000}, session_time(sent + late(random)), 0});
    }
  }
  [[nodiscard]] session::ShownRates shown() const { return shown_rates(device, blocks, rows); }
};

}  // namespace

TEST_CASE("rates that are as stated are left in peace", "[session]") {
  // 100 ppm: an ordinary crystal's worst (common practice); 500 ppm a cheap one's.
  for (const double length : {6.1, 10.0, 60.0, 600.0})
    for (const double skew : {0.0, 1e-4, -5e-4}) {
      CAPTURE(length, skew);
      const auto shown = Plate(length, skew).shown();
      CHECK_FALSE(shown.ticks_disagree);
      CHECK_FALSE(shown.samples_disagree);
      CHECK_FALSE(session::clock_doubt(shown));
    }
}

TEST_CASE("a counter's rate stated 1 % wrong is found with its number", "[session]") {
  for (const double length : {10.0, 60.0, 600.0}) {
    CAPTURE(length);
    Plate plate(length);
    plate.device.tick_rate *= 1.01;
    plate.device.sample_rate *= 1.01;
    const auto shown = plate.shown();
    CHECK(shown.ticks_disagree);
    CHECK_FALSE(shown.samples_disagree);
    CHECK(shown.tick_rate == Approx(1e6).epsilon(2e-3));
    CHECK(shown.sample_rate() == Approx(1000.0).epsilon(2e-3));
    const auto doubt = session::clock_doubt(shown);
    REQUIRE(doubt);
    CHECK(doubt->key == "clock_disagrees");
    CHECK(doubt->detail.find("'back plate'") != std::string::npos);
    CHECK(doubt->detail.find("tick_rate") != std::string::npos);
  }
}

TEST_CASE("a sample rate stated 1 % wrong is found by the counter alone", "[session]") {
  Plate plate(3.0);
  plate.device.sample_rate *= 1.01;
  const auto shown = plate.shown();
  CHECK(shown.samples_disagree);
  const auto doubt = session::clock_doubt(shown);
  REQUIRE(doubt);
  CHECK(doubt->detail.find("1000.0 Hz") != std::string::npos);
}

TEST_CASE("lost samples, a leap of the counter and a reset are no wrong rate", "[session]") {
  Plate plate(60.0);
  for (std::size_t i = 0; i < plate.blocks.size(); ++i) {
    const auto ticks = static_cast<std::int64_t>(plate.blocks[i].ticks);
    if (i > 1000) plate.blocks[i].ticks = DeviceTicks{ticks + 31'000'000};
    if (i > 2000) plate.blocks[i].ticks = DeviceTicks{ticks - 40'000'000};
  }
  CHECK_FALSE(session::clock_doubt(plate.shown()));
}

TEST_CASE("what was not captured live, or too short, shows nothing", "[session]") {
  Plate imported(60.0);
  imported.device.tick_rate *= 1.01;
  imported.device.sample_rate *= 1.01;
  imported.device.counts_session_time = true;
  CHECK_FALSE(session::clock_doubt(imported.shown()));
  Plate brief(3.0);
  brief.device.tick_rate *= 1.01;
  brief.device.sample_rate *= 1.01;
  CHECK(std::isnan(brief.shown().tick_rate));
  CHECK_FALSE(session::clock_doubt(brief.shown()));
  CHECK_FALSE(session::clock_doubt(shown_rates(brief.device, {}, 0)));
}
