// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/model/ball_path.h"

#include <catch2/catch.hpp>

using namespace moundwork::model;

TEST_CASE("the model's air, drag and sound give the handbook's numbers") {
  // The short form of the CIPM density.
  CHECK(air_density({20.0, 101325.0, 0.5}) == Approx(1.199294).margin(1e-6));
  CHECK(air_density({25.0, 83000.0, 0.3}) == Approx(0.965949).margin(1e-6));
  // Worked by hand.
  CHECK(sound_speed({20.0, 101325.0, 0.5}) == Approx(343.2146).margin(1e-4));
  CHECK(sound_speed({30.0, 101325.0, 0.5}) == Approx(349.0194).margin(1e-4));
  // Worked by hand: k = 0.006320180 at 1.225 kg/m^3 and Cd 0.35.
  const Air air{15.0, 101325.0, 0.0};
  CHECK(drag_per_metre(air, 0.35) * 1.225 / air_density(air) == Approx(0.006320180).margin(1e-9));
  constexpr double k = 0.006320180;
  CHECK(speed_at(40.0, k, 16.5) == Approx(36.038813).margin(1e-5));
  CHECK(time_to(40.0, k, 18.44) == Approx(0.488938).margin(1e-6));
  CHECK(time_to(40.0, 0.0, 20.0) == Approx(0.5));  // no drag: distance over speed
}
