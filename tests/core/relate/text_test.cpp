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

TEST_CASE("Steps and differences have their unit", "[relate]") {
  CHECK(amount(0.4, 0.3, {"x", "m/s"}) == "0.40 m/s");
  CHECK(amount(0.4, 0.3, {"x", "1"}) == "0.40");
  CHECK(as_it_is(0.5, "kPa") == "0.5 kPa");
  CHECK(as_it_is(38.25, "m/s") == "38.25 m/s");
  CHECK(as_it_is(10.0, "") == "10");
  CHECK(more_of(10.0, {"braking_impulse", "N s"}) == "10 N s more braking impulse");
  // Percent of the foot, not by so many percent; and more or less is no place on a foot.
  CHECK(more_of(5.0, {"heel_toe_at_drive_peak", "%"}) ==
        "heel-to-toe position at drive peak 5 % of the foot nearer the toe");
  CHECK(difference_words(-13.2, 4.0, {"heel_toe_at_drive_peak", "%"}) ==
        "13.2 % of the foot nearer the heel");
  CHECK(more_of(5.0, {"braking_timing", "ms"}) == "braking timing 5 ms later");
  CHECK(difference_words(-3.2, 4.0, {"braking_timing", "ms"}) == "3.2 ms earlier");
  CHECK(difference_words(13.2, 40.0, {"heel_drive_share", "%"}) == "13 percentage points more");
  CHECK(difference_words(-0.4, 0.3, {"ball_speed", "mph"}) == "0.40 mph less");
  CHECK(difference_words(-0.001, 0.3, {"ball_speed", "mph"}) == "no difference");
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
  CHECK(holds(text, moundwork::typed_minus(report.relations[0].says)));
  CHECK(holds(text, "Nothing shown for"));
  CHECK(holds(text, "14 tests within athletes, 0 between"));
  CHECK(holds(text, "noise 11"));
  // u 0.1 on a spread of 1 leaves a reliability of 0.99, within and between.
  CHECK(holds(text, "a twentieth at most: 24 slopes"));
}
