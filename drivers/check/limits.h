// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace moundwork::drivers {

/// Limits of the station's checks, each about what a good station keeps (common practice). A lab's
/// own stand in its station file ([check_limits]).
struct CheckLimits {
  double rate = 300e-6;        ///< relative; crystals keep 100 ppm, cheap ones 200 ppm
  double force_noise = 5.0;    ///< N, standard deviation of one sample
  double force_zero = 100.0;   ///< N; more says that something lies on the plate
  double weight_force = 0.01;  ///< relative to the weight
  double weight_cop = 0.005;   ///< m
  double fork_speed = 0.003;   ///< relative, beside half a step of the display
  double tap = 0.002;          ///< s between two devices, mean over the taps
};

}  // namespace moundwork::drivers
