// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/ball/flight.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace moundwork;

// Values: computed with NumPy from the closed forms (quadratic drag) and, for air, beside the full
// CIPM-2007 equation, whose density they must meet within the short form's 2.1e-4.
TEST_CASE("a drag flight meets the tabled speeds and times") {
  struct Row {
    double coefficient, v0, distance, speed, time;
  };
  for (const Row& row :
       {Row{.30, 35, 16.5, 32.007257, .493140}, Row{.30, 45, 18.44, 40.721961, .430944},
        Row{.35, 40, 16.5, 36.038813, .434776}, Row{.35, 35, 18.44, 31.149679, .558786},
        Row{.40, 45, 16.5, 39.944139, .389411}, Row{.40, 40, 18.44, 35.011836, .493111}}) {
    const double k = ball::drag_constant(1.225, row.coefficient);
    CHECK(ball::speed_after(row.v0, row.distance, k) == Approx(row.speed).margin(5e-7).epsilon(0));
    CHECK(ball::flight_time(row.v0, row.distance, k) == Approx(row.time).margin(5e-7).epsilon(0));
    CHECK(ball::speed_at_release(ball::speed_after(row.v0, row.distance, k), row.distance, k) ==
          Approx(row.v0).epsilon(1e-12));
  }
  CHECK(ball::drag_constant(1.225, .35) == Approx(0.006320180).margin(5e-10).epsilon(0));
}

TEST_CASE("air density follows CIPM-2007 and its short form") {
  struct Row {
    double p, t, h, full, brief;
  };
  for (const Row& row :
       {Row{101325, 20, .5, 1.199314, 1.199294}, Row{101325, 30, .7, 1.151844, 1.151806},
        Row{101325, 10, .4, 1.244949, 1.244693}, Row{83000, 25, .3, 0.965866, 0.965949}}) {
    CHECK(ball::air_density(row.p, row.t, row.h) == Approx(row.brief).margin(5e-7).epsilon(0));
    CHECK(ball::air_density(row.p, row.t, row.h) == Approx(row.full).epsilon(2.1e-4));
  }
}

TEST_CASE("the speed of sound meets the tabled values") {
  CHECK(ball::sound_speed(20.0) == Approx(343.2146).margin(5e-5).epsilon(0));
  CHECK(18.44 / ball::sound_speed(20.0) == Approx(0.053727).margin(5e-7).epsilon(0));
}

TEST_CASE("the worked catch-sound example gives its release time") {
  const double k = ball::drag_constant(1.225, .35);
  const double delay = ball::flight_time(40.0, 16.6, k) + 18.6 / ball::sound_speed(20.0);
  CHECK(delay == Approx(0.491745).margin(1e-6).epsilon(0));
}
