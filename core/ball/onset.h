// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>

namespace moundwork::ball {

/// Fractional index at which a burst rises out of a quiet channel: the first of several samples
/// within a millisecond or so beyond `times_noise` standard deviations of the quiet part. None when
/// nothing does, or when the channel is loud from its first sample on.
[[nodiscard]] std::optional<double> burst_onset(const Eigen::Ref<const Eigen::ArrayXd>& channel,
                                                Eigen::Index within, double times_noise = 8.0);

/// Fractional index at which a trigger channel steps through the middle of its two levels; none
/// when it has no step clear of its noise.
[[nodiscard]] std::optional<double> step_index(const Eigen::Ref<const Eigen::ArrayXd>& channel);

}  // namespace moundwork::ball
