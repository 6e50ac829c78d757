// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QObject>
#include <QString>
#include <vector>

#include "app/desk/state/desk_state.h"

class QUndoStack;

namespace moundwork::desk {

/// Changes of the roster that can be taken back, each in its own rows: what others have done in
/// the file meanwhile stays. With another lab's folder or practice, what was done before can no
/// longer be undone.
class RosterHistory : public QObject {
  Q_OBJECT
 public:
  RosterHistory(DeskState& state, QUndoStack& stack, QObject* parent = nullptr);

  /// Makes the roster so and remembers how to take that back. `what` names the change for the Edit
  /// menu.
  [[nodiscard]] Result<void> change(const QString& what, const std::vector<RosterAthlete>& after);
  /// Likewise for single rows; gives them as they were made.
  [[nodiscard]] Result<std::vector<people::RowChange>> change(
      const QString& what, const std::vector<people::RowChange>& changes);

 Q_SIGNALS:
  void refused(const moundwork::Error& error);  ///< an undo that could not be written

 private:
  class Step;
  [[nodiscard]] bool put(const std::vector<people::RowChange>& changes);

  DeskState& state_;
  QUndoStack& stack_;
  bool own_ = false;  // whether the change under way is this one's
};

}  // namespace moundwork::desk
