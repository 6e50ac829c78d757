// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/text.h"

#include <catch2/catch.hpp>

#include "core/relate/support.h"
#include "core/relate/words.h"

using namespace moundwork::relate;

namespace {
bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}
}  // namespace

TEST_CASE("Numbers get the digits that their uncertainty deserves", "[relate]") {
  // By hand: two significant digits of the resolution.
  CHECK(rounded(12.3456, 0.12) == "12.35");
  CHECK(rounded(12.3456, 3.0) == "12.3");
  CHECK(rounded(1234.5, 120.0) == "1234");
  CHECK(rounded(-0.001, 1.0) == "0.0");
  CHECK(with_unit(0.4, 0.3, "m/s") == "0.40 m/s");
  CHECK(with_unit(0.4, 0.3, "1") == "0.40");
  CHECK(step_with_unit(0.5, "kPa") == "0.5 kPa");
}

TEST_CASE("A step is the round number nearest to the spread", "[relate]") {
  // Nearest on a log scale: the borders are sqrt 2, sqrt 10 and sqrt 50.
  CHECK(round_step(10.0) == Approx(10.0));
  CHECK(round_step(1.3) == Approx(1.0));
  CHECK(round_step(1.5) == Approx(2.0));
  CHECK(round_step(3.3) == Approx(5.0));
  CHECK(round_step(0.08) == Approx(0.1));
  CHECK(round_step(0.0) == 1.0);
}

TEST_CASE("Keys become words", "[relate]") {
  CHECK(plain_name({"braking_peak_force_bw", "BW"}) == "braking peak force per body weight");
  CHECK(plain_name({"lead_impulse [N s]", "N s"}) == "lead impulse");
  CHECK(plain_name({"pitch_speed_mph", "mph"}) == "pitch speed");
}

TEST_CASE("With many quantities only what is shown gets a line of its own", "[relate]") {
  auto pitches = relate_support::invented(10, 12, 0.06, 40);
  for (int extra = 0; extra < 12; ++extra) {
    pitches.quantities.push_back({"noise_" + std::to_string(extra), ""});
    moundwork::Random random(98, static_cast<std::uint64_t>(extra));
    for (auto& row : pitches.rows) row.quantities.push_back({random.normal(), 0.1});
  }
  Settings settings;
  settings.resample.resamples = 1000;
  const auto report = relate(pitches, settings);
  const auto text = to_text(report, settings);
  CHECK(holds(text, report.relations[0].says));
  CHECK(holds(text, "Nothing shown for"));
  CHECK(holds(text, "14 tests within athletes, 14 between"));
  CHECK(holds(text, "noise 11"));
  // u 0.1 on a spread of 1 leaves a reliability of 0.99, within and between.
  CHECK(holds(text, "a twentieth at most: 24 slopes"));
}
