// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QString>
#include <vector>

#include "app/desk/state/desk_state.h"

class QUndoStack;

namespace moundwork::desk {

/// Changes of the roster that can be taken back. When somebody else changes the roster (another
/// lab's folder, practice), what was done before can no longer be undone.
class RosterHistory : public QObject {
  Q_OBJECT
 public:
  RosterHistory(DeskState& state, QUndoStack& stack, QObject* parent = nullptr);

  /// Writes the roster and remembers how it was. `what` names the change for the Edit menu.
  [[nodiscard]] Result<void> change(const QString& what, std::vector<RosterAthlete> after);

 Q_SIGNALS:
  void refused(const moundwork::Error& error);  ///< an undo that could not be written

 private:
  class Step;
  [[nodiscard]] bool put(const std::vector<RosterAthlete>& athletes);

  DeskState& state_;
  QUndoStack& stack_;
  bool own_ = false;  // whether the change under way is this one's
};

}  // namespace moundwork::desk
