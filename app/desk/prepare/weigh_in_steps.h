// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <optional>
#include <vector>

#include "core/base/measured.h"
#include "core/base/result.h"
#include "core/session/session.h"
#include "core/weigh_in/weigh_in.h"

namespace moundwork::desk {

enum class WeighInStep { empty, stand, heel, toe, done };

/// The way through a weigh-in, one stand after the other; knows nothing of devices or widgets.
class WeighInSteps {
 public:
  explicit WeighInSteps(session::Hand hand) : hand_(hand) {}

  [[nodiscard]] WeighInStep step() const { return step_; }
  /// What the athlete does now.
  [[nodiscard]] QString task() const;
  /// Takes what the plates carried in the last seconds for the step at hand and goes on to the
  /// next; stays there, saying why, when it will not do. At `empty` nothing is looked at: the
  /// plates' zero is the live view's matter.
  [[nodiscard]] Result<void> take(const std::vector<weigh_in::Stand>& stands);
  /// One step back, to do it again.
  void back();
  /// Ends with the mass alone, once that is known.
  void end_with_mass();

  [[nodiscard]] const Measured& mass() const { return mass_; }  ///< kg; NaN until known
  [[nodiscard]] const std::optional<session::FootLine>& foot_line() const { return foot_line_; }
  /// Where the heel's stance rested, once known: the foot's picture begins there.
  [[nodiscard]] const std::optional<weigh_in::StancePoint>& heel() const { return heel_; }

 private:
  session::Hand hand_;
  WeighInStep step_ = WeighInStep::empty;
  Measured mass_;
  std::optional<weigh_in::StancePoint> heel_;
  std::optional<session::FootLine> foot_line_;
};

}  // namespace moundwork::desk
