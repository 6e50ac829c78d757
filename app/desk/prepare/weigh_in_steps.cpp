// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/weigh_in_steps.h"

namespace moundwork::desk {
QString WeighInSteps::task() const {
  switch (step_) {
    case WeighInStep::empty:
      return QStringLiteral("Everybody off the plates.");
    case WeighInStep::stand:
      return QStringLiteral("Step on with both feet and stand still, arms hanging, for 3 s.");
    case WeighInStep::heel:
      return QStringLiteral(
          "Back foot where it lies for a throw. Weight on its heel, toes up, for 3 s. Holding on "
          "to somebody is fine.");
    case WeighInStep::toe:
      return QStringLiteral("Leave the foot there. Weight on its toes, heel up, for 3 s.");
    case WeighInStep::done:
      return QStringLiteral("Weighed in.");
  }
  return {};
}

Result<void> WeighInSteps::take(const std::vector<weigh_in::Stand>& stands) {
  switch (step_) {
    case WeighInStep::empty:
      step_ = WeighInStep::stand;
      return {};
    case WeighInStep::stand: {
      const auto mass = weigh_in::body_mass(stands);
      if (!mass) return tl::make_unexpected(mass.error());
      mass_ = *mass;
      step_ = WeighInStep::heel;
      return {};
    }
    case WeighInStep::heel: {
      const auto point = weigh_in::back_stance(stands, mass_.value, "heel");
      if (!point) return tl::make_unexpected(point.error());
      heel_ = *point;
      step_ = WeighInStep::toe;
      return {};
    }
    case WeighInStep::toe: {
      const auto point = weigh_in::back_stance(stands, mass_.value, "toe");
      if (!point) return tl::make_unexpected(point.error());
      const auto line = weigh_in::foot_line(*heel_, *point, hand_);
      if (!line) return tl::make_unexpected(line.error());
      foot_line_ = *line;
      step_ = WeighInStep::done;
      return {};
    }
    case WeighInStep::done:
      return {};
  }
  return {};
}

void WeighInSteps::back() {
  switch (step_) {
    case WeighInStep::empty:
      return;
    case WeighInStep::stand:
      step_ = WeighInStep::empty;
      return;
    case WeighInStep::heel:
      mass_ = {};
      step_ = WeighInStep::stand;
      return;
    case WeighInStep::toe:
      heel_.reset();
      step_ = WeighInStep::heel;
      return;
    case WeighInStep::done:
      // After the mass alone there is no stance to repeat but the heel's.
      foot_line_.reset();
      step_ = heel_ ? WeighInStep::toe : WeighInStep::heel;
      return;
  }
}

void WeighInSteps::end_with_mass() {
  if (!mass_.known()) return;
  heel_.reset();
  foot_line_.reset();
  step_ = WeighInStep::done;
}

}  // namespace moundwork::desk
