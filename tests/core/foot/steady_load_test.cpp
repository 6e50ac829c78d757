// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/foot/steady_load.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace moundwork;

TEST_CASE("the heaviest steady load passes over pushes, gaps and short stands", "[foot]") {
  foot::LoadTrace trace;
  trace.start = session_time(100.0);
  trace.vertical = Eigen::ArrayXf::Zero(2000);  // 10 s
  trace.vertical.segment(200, 200) = 700.0F;    // a second of standing
  trace.vertical.segment(600, 60) = 900.0F;     // 0.3 s: too short
  for (Eigen::Index i = 0; i < 200; ++i)        // a slow push
    trace.vertical(800 + i) = 500.0F + 3.0F * static_cast<float>(i);
  trace.vertical.segment(1200, 200) = 950.0F;
  trace.vertical.segment(1200, 20) = 0.0F;
  trace.vertical(1289) = std::numeric_limits<float>::quiet_NaN();  // 0.35 and 0.52 s beside it
  trace.vertical.segment(1395, 5) = 0.0F;

  const auto heaviest = foot::heaviest_steady(trace, 0.5, 0.1);
  REQUIRE(heaviest);
  CHECK(heaviest->force == Approx(950.0));
  CHECK(heaviest->time == Approx(106.70).margin(0.06));  // the half second from bin 1290 on
  trace.vertical.segment(1290, 20) = 0.0F;
  const auto next = foot::heaviest_steady(trace, 0.5, 0.1);
  REQUIRE(next);
  CHECK(next->force == Approx(700.0));
  CHECK(next->time > 101.0);
  CHECK(next->time < 102.0);
  trace.vertical.setConstant(std::numeric_limits<float>::quiet_NaN());
  CHECK_FALSE(foot::heaviest_steady(trace, 0.5, 0.1));
}
