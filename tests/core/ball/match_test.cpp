// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/match.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <random>

using namespace moundwork;
using namespace moundwork::ball;

namespace {

session::RadarReading reading_at(double time, double speed, int direction = 1) {
  return {session_time(time), speed, direction, ""};
}

ExpectedReading due_at(double time, double u = 0.01) { return {session_time(time), u}; }

}  // namespace

TEST_CASE("each throw takes the reading that is due, and only that", "[ball]") {
  const std::vector<ExpectedReading> throws{due_at(10.0), due_at(25.0), due_at(40.0)};
  const std::vector<session::RadarReading> readings{
      reading_at(10.02, 38.0),    reading_at(10.15, 38.2),     // printed twice
      reading_at(14.0, 20.0, -1), reading_at(24.9, 30.0, -1),  // coming back
      reading_at(40.01, 12.0),    reading_at(40.05, 39.0),     // a toss beside it
  };
  const auto matched = match_readings(throws, readings);
  CHECK(matched[0].reading == 0);
  CHECK_FALSE(matched[1].reading);  // its reading is lost: the next one does not move up
  CHECK(matched[2].reading == 5);
}

TEST_CASE("of a pitch's greatest speed and its speed at the plate the first is taken", "[ball]") {
  // 38 m/s lose 7 to 10 % over 17 m, and the second answer comes up to half a second later.
  const std::vector<ExpectedReading> throws{due_at(10.0), due_at(25.0), due_at(40.0)};
  const std::vector<session::RadarReading> readings{
      reading_at(10.00, 38.0), reading_at(10.05, 34.9),   // both numbers
      reading_at(25.00, 38.0), reading_at(25.05, 30.0),   // slower than any drag
      reading_at(40.00, 34.9), reading_at(40.05, 38.0)};  // a ball does not gain on its way
  const auto matched = match_readings(throws, readings);
  CHECK(matched[0].reading == 0);
  CHECK(matched[0].at_plate == 1);
  CHECK_FALSE(matched[1].reading);
  CHECK(matched[1].doubtful);
  CHECK_FALSE(matched[2].reading);
  CHECK(matched[2].doubtful);
}

TEST_CASE("a reading without a time belongs to no throw", "[ball]") {
  const std::vector<ExpectedReading> throws{due_at(10.0)};
  const double none = std::numeric_limits<double>::quiet_NaN();
  const std::vector<session::RadarReading> readings{reading_at(none, 38.0),
                                                    reading_at(1e300, 38.0)};
  CHECK_FALSE(match_readings(throws, readings)[0].reading);
}

TEST_CASE("two different speeds for one throw are left alone and said to be doubtful", "[ball]") {
  const std::vector<ExpectedReading> throws{due_at(10.0)};
  const std::vector<session::RadarReading> readings{reading_at(10.0, 38.0), reading_at(10.1, 33.0)};
  const auto matched = match_readings(throws, readings);
  CHECK_FALSE(matched[0].reading);
  CHECK(matched[0].doubtful);
}

TEST_CASE("no throws, no readings and readings without a number give no match", "[ball]") {
  const std::vector<ExpectedReading> throws{due_at(10.0)};
  CHECK(match_readings({}, std::vector{reading_at(10.0, 38.0)}).empty());
  CHECK_FALSE(match_readings(throws, {})[0].reading);
  CHECK_FALSE(match_readings(throws, std::vector{reading_at(10.0, std::nan(""))})[0].reading);
}

TEST_CASE("of 10,000 throws with lost, late, doubled and stray lines none is matched wrongly",
          "[ball]") {
  std::mt19937 random(20260418);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  std::normal_distribution<double> normal;
  std::vector<ExpectedReading> throws;
  struct Line {
    session::RadarReading reading;
    int owner;  // throw, -1: none
  };
  std::vector<Line> lines;
  double time = 5.0;
  int lost = 0;
  for (int i = 0; i < 10000; ++i) {
    // A pitch each 12 to 30 s; between them tosses, strays and the ball thrown back.
    time += 12.0 + 18.0 * unit(random);
    const double speed = 30.0 + 12.0 * unit(random);
    throws.push_back(due_at(time + 0.012 * normal(random), 0.012));
    const double late =
        unit(random) < 0.10 ? 0.15 * unit(random) : 0.005 * std::abs(normal(random));
    if (unit(random) < 0.06) {
      ++lost;
    } else {
      lines.push_back({reading_at(time + late, speed), i});
      if (unit(random) < 0.15)
        lines.push_back(
            {reading_at(time + late + 0.02 + 0.1 * unit(random), speed + 0.3 * normal(random)), i});
    }
    if (unit(random) < 0.20)
      lines.push_back(
          {reading_at(time + 4.0 + 3.0 * unit(random), 18.0 + 6.0 * unit(random), -1), -1});
    if (unit(random) < 0.10)  // going back, but the radar tells no direction
      lines.push_back(
          {reading_at(time + 4.0 + 3.0 * unit(random), 18.0 + 6.0 * unit(random), 0), -1});
    if (unit(random) < 0.10)  // another mound
      lines.push_back(
          {reading_at(time + 2.0 + 8.0 * unit(random), 30.0 + 12.0 * unit(random)), -1});
    if (unit(random) < 0.10)  // a slow thing crossing at the very moment
      lines.push_back({reading_at(time + 0.1 * normal(random), 14.0 * unit(random)), -1});
  }
  std::stable_sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) {
    return a.reading.arrival < b.reading.arrival;
  });
  std::vector<session::RadarReading> readings;
  for (const Line& line : lines) readings.push_back(line.reading);
  const auto matched = match_readings(throws, readings);
  int wrong = 0;
  int none = 0;
  for (int i = 0; i < 10000; ++i) {
    const auto& match = matched[static_cast<std::size_t>(i)];
    if (!match.reading)
      ++none;
    else if (lines[*match.reading].owner != i)
      ++wrong;
  }
  CHECK(wrong == 0);
  CHECK(none - lost < 50);  // late ones beyond the gate and doubtful pairs
  CHECK(none >= lost);
}
