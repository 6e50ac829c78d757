// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <utility>

#include "core/pitch/settings.h"

namespace moundwork::pitch {

/// Unit white noise after the two low-passes of an analysis, made once for a sampling rate and read
/// at different places for different draws. Deterministic, so that the same recording always gets
/// the same uncertainties.
class NoiseBank {
 public:
  NoiseBank(double step, const Settings& settings);

  /// The bank for this step and these settings, kept from call to call (one thread).
  [[nodiscard]] static const NoiseBank& for_step(double step, const Settings& settings);

  /// `length` samples of stream `stream`: under the main and under the lighter low-pass, from the
  /// same white noise.
  [[nodiscard]] std::pair<Eigen::Ref<const Eigen::ArrayXd>, Eigen::Ref<const Eigen::ArrayXd>> draw(
      Eigen::Index stream, Eigen::Index length) const;

 private:
  double step_, low_pass_, contact_low_pass_;
  Eigen::ArrayXd smooth_, light_;
};

}  // namespace moundwork::pitch
