// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/time/clock_map.h"

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

/// A made-up device: session time = offset + (1 + skew) device time, a block each 10 ms.
struct TrueClock {
  double offset = 3.25;
  double skew = 0.0;
  [[nodiscard]] double at(double device_seconds) const {
    return offset + (1.0 + skew) * device_seconds;
  }
};

template <class Delay>
std::vector<Arrival> capture(const TrueClock& clock, double from, double to, Delay&& delay) {
  std::vector<Arrival> arrivals;
  double latest = -1e9;
  const auto blocks = static_cast<int>(std::lround((to - from) / 0.01));
  for (int i = 0; i < blocks; ++i) {
    const double p = from + 0.01 * i;
    // A stream keeps its order: nothing is read before what came ahead of it.
    latest = std::max(latest, clock.at(p) + delay(p));
    arrivals.push_back({ticks_at(p), session_time(latest)});
  }
  return arrivals;
}

double worst_error(const ClockMap& map, const TrueClock& clock, double from, double to) {
  double worst = 0.0;
  for (double p = from; p <= to; p += 0.5) {
    worst = std::max(worst, std::abs(seconds(map.at(p * tick_rate)) - clock.at(p)));
  }
  return worst;
}

double rms_error(const ClockMap& map, const TrueClock& clock, double length) {
  double sum = 0.0;
  for (int i = 0; i <= 1000; ++i) {
    const double p = length * i / 1000.0;
    sum += std::pow(seconds(map.at(p * tick_rate)) - clock.at(p), 2);
  }
  return std::sqrt(sum / 1001.0);
}

}  // namespace

TEST_CASE("the lower envelope finds skew and offset under one-sided delays", "[time]") {
  // Computed apart with NumPy: true offset 12.5 s, skew 20 ppm, delays of 2 to 45 ms; the
  // linear programme (SciPy linprog) gives 12.502 s and 20 ppm, where least squares gives 21.6 ppm.
  const double delays[] = {3, 11, 4, 2, 45, 3, 6, 2, 19, 3};
  std::vector<Arrival> arrivals;
  for (int i = 0; i < 10; ++i) {
    const double p = 60.0 * i;
    arrivals.push_back({ticks_at(p), session_time(12.5 + (1.0 + 20e-6) * p + 1e-3 * delays[i])});
  }
  const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
  REQUIRE(map);
  CHECK(seconds(map->at(DeviceTicks{0})) == Approx(12.502).margin(1e-9));
  CHECK(map->skew() == Approx(20e-6).margin(1e-12));
  // With the least delay known, nothing is left of the offset's error.
  const auto corrected = fit_clock(arrivals, tick_rate, {0.002, 0.0005});
  REQUIRE(corrected);
  CHECK(seconds(corrected->at(0.0)) == Approx(12.5).margin(1e-9));
  CHECK(corrected->u() >= 0.0005);
}

TEST_CASE("without jitter the map is exact at any rate", "[time]") {
  for (const double skew : {0.0, 200e-6, -200e-6}) {
    const TrueClock clock{-4.0, skew};
    const auto arrivals = capture(clock, 0.0, 120.0, [](double) { return 0.0; });
    const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
    REQUIRE(map);
    CHECK(worst_error(*map, clock, 0.0, 120.0) < 2e-6);
    CHECK(map->skew() == Approx(skew).margin(1e-8));
  }
}

TEST_CASE("200 ppm and 20 ms of jitter come out within 1 ms and within the stated uncertainty",
          "[time]") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    std::mt19937 random(seed);
    std::exponential_distribution<double> exponential(1.0 / 0.020);
    std::uniform_real_distribution<double> rectangular(0.0, 0.040);
    const TrueClock clock{2.0, (seed % 2 == 0 ? 1.0 : -1.0) * 200e-6};
    for (const double length : {20.0, 90.0, 600.0}) {
      CAPTURE(seed, length);
      const auto arrivals = capture(clock, 0.0, length, [&](double) {
        return seed % 3 == 0 ? rectangular(random) : exponential(random);
      });
      const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
      REQUIRE(map);
      const double worst = worst_error(*map, clock, 0.0, length);
      // Twenty seconds hold too few early arrivals for the ends of the line.
      CHECK(worst < (length < 60.0 ? 2e-3 : 1e-3));
      CHECK(worst < 4.0 * map->u());
      CHECK(rms_error(*map, clock, length) < 2.0 * map->u());
      if (length > 60.0) CHECK(map->u() < 1e-3);
    }
  }
}

TEST_CASE("a warming crystal is followed over three hours", "[time]") {
  // Skew goes from 5 to 25 ppm with a time constant of 20 min: the integral is in closed form.
  const double tau = 1200.0;
  const auto truth = [&](double p) {
    return p * (1.0 + 25e-6) - 20e-6 * tau * (1.0 - std::exp(-p / tau));
  };
  std::mt19937 random(7);
  std::exponential_distribution<double> jitter(1.0 / 0.020);
  std::vector<Arrival> arrivals;
  double latest = -1.0;
  for (int i = 0; i < 10800 * 50; ++i) {
    const double p = 0.02 * i;
    latest = std::max(latest, truth(p) + jitter(random));
    arrivals.push_back({ticks_at(p), session_time(latest)});
  }
  const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
  REQUIRE(map);
  double worst = 0.0;
  for (double p = 0.0; p <= 10800.0; p += 7.0) {
    worst = std::max(worst, std::abs(seconds(map->at(p * tick_rate)) - truth(p)));
  }
  CHECK(worst < 1e-3);
  CHECK(map->segment_count() == 1);
}

TEST_CASE("a spell of late arrivals does not pull the clock", "[time]") {
  const TrueClock clock{1.0, 40e-6};
  const auto arrivals = capture(clock, 0.0, 1800.0, [](double p) {
    return p > 800.0 && p < 860.0 ? 0.030 : 0.002 * std::abs(std::sin(1000.0 * p));
  });
  const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
  REQUIRE(map);
  CHECK(worst_error(*map, clock, 0.0, 1800.0) < 2e-3);
  CHECK(map->segment_count() == 1);
}

TEST_CASE("a stall of the host and lost blocks leave one segment", "[time]") {
  const TrueClock clock{1.0, -100e-6};
  auto arrivals =
      capture(clock, 0.0, 100.0, [](double p) { return p > 40.0 && p < 43.0 ? 43.0 - p : 0.001; });
  arrivals.erase(arrivals.begin() + 6000, arrivals.begin() + 7500);
  const auto map = fit_clock(arrivals, tick_rate, {0.001, 0.0});
  REQUIRE(map);
  CHECK(map->segment_count() == 1);
  CHECK(worst_error(*map, clock, 0.0, 100.0) < 1e-4);
}

TEST_CASE("a counter reset begins a segment of its own", "[time]") {
  const TrueClock before{0.5, 100e-6};
  const TrueClock after{75.0, 100e-6};  // restarted 14.5 s after the first run's 60 s
  auto arrivals = capture(before, 0.0, 60.0, [](double) { return 0.0; });
  const auto second = capture(after, 0.0, 60.0, [](double) { return 0.0; });
  arrivals.insert(arrivals.end(), second.begin(), second.end());
  const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
  REQUIRE(map);
  CHECK(map->segment_count() == 2);
  CHECK(seconds(map->at(10.0 * tick_rate)) == Approx(after.at(10.0)).margin(1e-5));
  CHECK(seconds(map->at(10.0 * tick_rate, session_time(before.at(10.0)))) ==
        Approx(before.at(10.0)).margin(1e-5));
  CHECK(seconds(map->at(10.0 * tick_rate, session_time(after.at(10.0)))) ==
        Approx(after.at(10.0)).margin(1e-5));
}

TEST_CASE("a counter that stands still or leaps is a new segment", "[time]") {
  const TrueClock before{0.0, 0.0};
  const TrueClock paused{20.0, 0.0};
  const TrueClock leapt{-100.0, 0.0};
  for (const auto& [after, from] : {std::pair{paused, 60.0}, std::pair{leapt, 170.0}}) {
    auto arrivals = capture(before, 0.0, 60.0, [](double) { return 0.0; });
    const auto second = capture(after, from, from + 60.0, [](double) { return 0.0; });
    arrivals.insert(arrivals.end(), second.begin(), second.end());
    const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
    REQUIRE(map);
    CHECK(map->segment_count() == 2);
    CHECK(seconds(map->at(30.0 * tick_rate)) == Approx(30.0).margin(1e-5));
    CHECK(seconds(map->at((from + 30.0) * tick_rate)) ==
          Approx(after.at(from + 30.0)).margin(1e-5));
  }
}

TEST_CASE("what waited in the port before it was opened does not split or bend the clock",
          "[time]") {
  const TrueClock clock{0.0, 30e-6};
  // Half a second of old samples comes within a millisecond; a second of them was overrun.
  std::vector<Arrival> arrivals;
  for (int i = 0; i < 50; ++i)
    arrivals.push_back({ticks_at(8.0 + 0.01 * i), session_time(clock.at(10.0) + 2e-5 * i)});
  const auto rest = capture(clock, 10.0, 70.0, [](double) { return 0.0; });
  arrivals.insert(arrivals.end(), rest.begin(), rest.end());
  const auto map = fit_clock(arrivals, tick_rate, {0.0, 0.0});
  REQUIRE(map);
  CHECK(map->segment_count() == 1);
  CHECK(worst_error(*map, clock, 8.0, 70.0) < 1e-4);
  CHECK(map->u() < 1e-3);
}

TEST_CASE("a handful of arrivals keeps the nominal rate and says how unsure it is", "[time]") {
  const std::vector<Arrival> one{{ticks_at(5.0), session_time(8.0)}};
  const auto lone = fit_clock(one, tick_rate, {0.0, 0.0});
  REQUIRE(lone);
  CHECK(seconds(lone->at(6.0 * tick_rate)) == Approx(9.0).margin(1e-9));
  CHECK(lone->u() > 0.01);  // one-way serial delays run to 20 ms (common practice)

  const std::vector<Arrival> same(4, one.front());
  const auto still = fit_clock(same, tick_rate, {0.0, 0.0});
  REQUIRE(still);
  CHECK(seconds(still->at(6.0 * tick_rate)) == Approx(9.0).margin(1e-9));

  // Half a second cannot tell the skew from 20 ms of jitter.
  std::mt19937 random(3);
  std::exponential_distribution<double> jitter(1.0 / 0.020);
  const auto brief = fit_clock(
      capture({0.0, 0.0}, 0.0, 0.5, [&](double) { return jitter(random); }), tick_rate, {0.0, 0.0});
  REQUIRE(brief);
  CHECK(brief->skew() == Approx(0.0).margin(1e-12));
}

TEST_CASE("the nominal map is the identity in seconds", "[time]") {
  const ClockMap map = ClockMap::nominal(1000.0);
  CHECK(seconds(map.at(DeviceTicks{2500})) == 2.5);
  CHECK(seconds(map.at(-1.5)) == -0.0015);
  CHECK(map.u() == 0.0);
  CHECK(map.skew() == 0.0);
}

TEST_CASE("what cannot be fitted is told, not guessed", "[time]") {
  const std::vector<Arrival> one{{DeviceTicks{0}, session_time(0.0)}};
  const std::vector<Arrival> bad{{DeviceTicks{0}, session_time(std::nan(""))}};
  CHECK_FALSE(fit_clock(std::span<const Arrival>{}, tick_rate, {0.0, 0.0}));
  CHECK_FALSE(fit_clock(one, 0.0, {0.0, 0.0}));
  CHECK_FALSE(fit_clock(one, tick_rate, {}));
  CHECK_FALSE(fit_clock(bad, tick_rate, {0.0, 0.0}));
}
