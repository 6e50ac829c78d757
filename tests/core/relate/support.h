// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "core/base/random.h"
#include "core/relate/pitches.h"

namespace relate_support {

/// Invented athletes: within an athlete, ball speed rises by `slope` for each unit of the first
/// quantity, which has a spread of 10; the second quantity is noise.
inline moundwork::relate::Pitches invented(int athletes, int pitches, double slope,
                                           std::uint64_t seed) {
  moundwork::Random random(seed, 0);
  moundwork::relate::Pitches data;
  data.quantities = {{"braking_impulse", "N s"}, {"stride_length", "m"}};
  for (int athlete = 0; athlete < athletes; ++athlete) {
    const double level = random.normal(38.0, 2.0);
    const double mass = random.normal(88.0, 8.0);
    for (int number = 1; number <= pitches; ++number) {
      moundwork::relate::Pitch pitch;
      pitch.athlete = "A" + std::to_string(athlete + 1);
      pitch.session = "day 1";
      pitch.number = number;
      pitch.mass = mass;
      const double impulse = random.normal(0.0, 10.0);
      pitch.quantities.resize(2);
      pitch.quantities[0].value = 150.0 + impulse;
      pitch.quantities[1].value = random.normal(1.5, 0.05);
      pitch.ball_speed.value = level + slope * impulse + random.normal(0.0, 0.5);
      data.rows.push_back(pitch);
    }
  }
  return data;
}

}  // namespace relate_support
