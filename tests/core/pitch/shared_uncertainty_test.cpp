// SPDX-License-Identifier: GPL-3.0-or-later
#include <catch2/catch.hpp>

#include "core/pitch/uncertainty.h"

using namespace moundwork::pitch;

TEST_CASE("noise, zero and an event put by hand are a throw's own, all else is shared",
          "[uncertainty]") {
  Uncertainty uncertainty;
  const auto put = [](Contributions& parts, Source source, double u) {
    parts[static_cast<std::size_t>(source)] = u;
  };
  Contributions& braking =
      uncertainty.quantities[static_cast<std::size_t>(Quantity::braking_impulse)];
  put(braking, Source::calibration, 3.0);
  put(braking, Source::noise, 4.0);
  CHECK(uncertainty.u(Quantity::braking_impulse) == Approx(5.0));
  CHECK(uncertainty.shared_u(Quantity::braking_impulse) == Approx(3.0));
  put(braking, Source::foot_line, 4.0);
  put(braking, Source::zero, 7.0);
  put(braking, Source::moved, 1.0);
  CHECK(uncertainty.shared_u(Quantity::braking_impulse) == Approx(5.0));
  Contributions& release = uncertainty.events[static_cast<std::size_t>(Event::release)];
  put(release, Source::release, 0.003);
  put(release, Source::clock, 0.004);
  put(release, Source::moved, 0.1);
  CHECK(uncertainty.shared_u(Event::release) == Approx(0.005));
}
