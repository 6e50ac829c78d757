// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/definitions/settings.h"

namespace moundwork::pitch {

/// Unit white noise after the two low-passes of an analysis, made once for a sampling rate and read
/// at different places for different draws. Deterministic, so that the same recording always gets
/// the same uncertainties.
class NoiseBank {
 public:
  NoiseBank(double step, const definitions::Settings& settings);

  /// The bank for this step, to four digits, and these settings: the same in every thread, each of
  /// which keeps its last.
  [[nodiscard]] static const NoiseBank& for_step(double step,
                                                 const definitions::Settings& settings);

  /// `length` samples of one stream: the white noise and what the two low-passes leave of it.
  struct Draw {
    Eigen::Ref<const Eigen::ArrayXd> white, smooth, light;
  };
  [[nodiscard]] Draw draw(Eigen::Index stream, Eigen::Index length) const;

 private:
  double step_, low_pass_, contact_low_pass_;
  Eigen::ArrayXd white_, smooth_, light_;
};

}  // namespace moundwork::pitch
