// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include "app/desk/state/desk_state.h"

class QTableWidget;
class QLabel;

namespace moundwork::desk {

/// Everything people changed in the open session, in order, with who, when and why. What is not
/// here was not written.
class EditList : public QWidget {
  Q_OBJECT
 public:
  explicit EditList(DeskState& state, QWidget* parent = nullptr);

 private:
  void fill();

  DeskState& state_;
  QLabel* heading_;
  QTableWidget* table_;
};

}  // namespace moundwork::desk
