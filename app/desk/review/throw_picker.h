// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableWidget>
#include <vector>

#include "app/desk/state/desk_state.h"

namespace moundwork::desk {

/// The session's throws, one a line; the line that is current is shown, ticked ones lie over it.
class ThrowPicker : public QTableWidget {
  Q_OBJECT
 public:
  explicit ThrowPicker(DeskState& state, QWidget* parent = nullptr);
  /// Numbers of the ticked throws, the shown one not among them.
  [[nodiscard]] std::vector<int> overlaid() const;

 Q_SIGNALS:
  void overlay_changed();

 protected:
  [[nodiscard]] QItemSelectionModel::SelectionFlags selectionCommand(
      const QModelIndex& index, const QEvent* event) const override;

 private:
  void fill();
  void follow_shown();

  DeskState& state_;
  bool filling_ = false;
};

}  // namespace moundwork::desk
