// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <vector>

#include "core/base/result.h"

namespace moundwork::signal {

/// One second-order section, a0 = 1: y = b0 x + b1 x1 + b2 x2 - a1 y1 - a2 y2.
struct Biquad {
  double b0 = 1.0, b1 = 0.0, b2 = 0.0;
  double a1 = 0.0, a2 = 0.0;
};

/// Low-pass Butterworth of even order by the bilinear transform with prewarping, as sections in the
/// order of SciPy's butter(order, cutoff, output="sos") up to how the gain is shared.
/// Fails unless 0 < cutoff < rate / 2 (Hz) and order is even and 2 to 12.
[[nodiscard]] Result<std::vector<Biquad>> low_pass(int order, double cutoff, double rate);

/// Design cut-off for which `passes` passes of an order-`order` Butterworth have their common
/// half-power point at `cutoff`: cutoff / (2^(1/passes) - 1)^(1/(2 order)). Winter, Biomechanics
/// and Motor Control of Human Movement, gives the same for two passes of order 2 as division by
/// 0.802.
[[nodiscard]] double design_cutoff(double cutoff, int order, int passes);

/// One pass forward from zero state, or from `state` steady for the first sample.
[[nodiscard]] Eigen::ArrayXd filter(const std::vector<Biquad>& sections,
                                    const Eigen::Ref<const Eigen::ArrayXd>& x);

/// Forward and backward over an odd extension of the ends with steady starting states: what SciPy's
/// sosfiltfilt and (for one section) filtfilt do by default. Shorter signals than the extension
/// shorten the extension. NaN in gives NaN out from there on.
[[nodiscard]] Eigen::ArrayXd zero_phase(const std::vector<Biquad>& sections,
                                        const Eigen::Ref<const Eigen::ArrayXd>& x);

/// The same of every column (samples x signals), in a fraction of the time of one after another.
[[nodiscard]] Eigen::ArrayXXd zero_phase_columns(const std::vector<Biquad>& sections,
                                                 const Eigen::Ref<const Eigen::ArrayXXd>& x);

}  // namespace moundwork::signal
