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

  /// Why undo and redo do not act on the session's edits at present; empty where they do.
  void say_undo(const QString& words);

 Q_SIGNALS:
  void shown_or_hidden();

 protected:
  void showEvent(QShowEvent* event) override;
  void hideEvent(QHideEvent* event) override;

 private:
  void fill();

  DeskState& state_;
  QLabel* heading_;
  QLabel* undo_words_;
  QTableWidget* table_;
};

}  // namespace moundwork::desk
