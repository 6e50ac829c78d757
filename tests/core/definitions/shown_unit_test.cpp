// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/definitions/shown_unit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "core/definitions/catalogue.h"
#include "core/definitions/quantity_names.h"

using namespace moundwork;
using namespace moundwork::definitions;

TEST_CASE("Values are shown in the units that people read", "[shown]") {
  const ChosenUnits chosen{SpeedUnit::mile_per_hour, ForceUnit::body_weight};
  // 36 m/s over 0.44704 m/s in a mile an hour (exact, 1959) = 80.53.
  CHECK(shown_text("ball_speed", "m/s", {36.0, 0.1}, chosen) == "80.53 ± 0.22 mph");
  CHECK(shown_text("ball_speed", "m/s", {36.0, 0.1}, {SpeedUnit::kilometre_per_hour}) ==
        "129.6 ± 0.4 km/h");
  // Only the ball's: a body is not timed in miles.
  CHECK(shown_text("braking_impulse_per_mass", "m/s", {1.5, 0.03}, chosen) == "1.50 ± 0.03 m/s");
  // 784.532 N are the weight of 80 kg at 9.80665 m/s^2.
  CHECK(shown_text("drive_peak_force", "N", {784.532, 7.84532}, chosen, 80.0) ==
        "1.000 ± 0.010 BW");
  CHECK(shown_text("drive_peak_force", "N", {784.532, 7.84532}, {}, 80.0) == "785 ± 8 N");
  // Nobody's body weight is not a number to divide by.
  CHECK(shown_text("drive_peak_force", "N", {784.532, 7.84532}, chosen, std::nan("")) ==
        "785 ± 8 N");
  CHECK(shown_text("braking_timing", "s", {-0.0414, 0.0008}, chosen) == "−41.4 ± 0.8 ms");
  CHECK(shown_text("load_tilt", "rad", {std::acos(-1.0) / 6.0, 0.01}, chosen) == "30.0 ± 0.6°");
  CHECK(shown_text("heel_drive_share", "1", {0.583, 0.04}, chosen) == "58 ± 4 %");
  CHECK(shown_text("balance_sway_area", "m^2", {0.00123, 0.00004}, chosen) == "12.3 ± 0.4 cm²");
  CHECK(shown_text("braking_rate_mean", "N/s", {1683.7, 41.0}, chosen) == "1684 ± 41 N/s");
  CHECK(shown_text("ball_speed", "m/s", {}, chosen) == "not known");
}

TEST_CASE("A difference of percent says of what", "[shown]") {
  CHECK(difference_unit("heel_toe_at_drive_peak", "%") == "% of the foot");
  CHECK(difference_unit("heel_drive_share", "%") == "percentage points");
  CHECK(difference_unit("stride_length_height", "%") == "% of body height");
  CHECK(difference_unit("braking_impulse", "N s") == "N s");
  CHECK(difference_unit("column of a table", "%") == "%");
}

TEST_CASE("Speed units are read by their symbols", "[shown]") {
  CHECK(speed_unit_from("mph") == SpeedUnit::mile_per_hour);
  CHECK(speed_unit_from("km/h") == SpeedUnit::kilometre_per_hour);
  CHECK(speed_unit_from("m/s") == SpeedUnit::metre_per_second);
  CHECK_FALSE(speed_unit_from("knots"));
}

TEST_CASE("Every quantity has a name of its own, without marks of a key", "[shown]") {
  std::set<std::string> names;
  for (std::size_t i = 0; i < quantity_count; ++i) {
    const std::string name = quantity_name(static_cast<Quantity>(i));
    CAPTURE(name);
    CHECK(names.insert(name).second);
    CHECK(name.find('_') == std::string::npos);
    CHECK_FALSE(name.ends_with(" bw"));
  }
}
