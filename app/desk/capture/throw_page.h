// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/desk/page/page.h"
#include "app/desk/state/desk_state.h"
#include "app/desk/work/jobs.h"

namespace moundwork::desk {

class ThrowPage : public Page {
  Q_OBJECT
 public:
  ThrowPage(DeskState& state, Jobs& jobs, QWidget* parent = nullptr);
  [[nodiscard]] QString title() const override { return QStringLiteral("Throw"); }
  [[nodiscard]] QString hint() const override;

 private:
  DeskState& state_;
  Jobs& jobs_;
};

}  // namespace moundwork::desk
