// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QUndoCommand>
#include <functional>

#include "app/desk/state/desk_state.h"

namespace moundwork::desk {

/// One edit on the undo stack. The session's list only grows: taking the edit back appends the edit
/// that says so, and doing it again takes that one back.
class EditCommand : public QUndoCommand {
 public:
  /// `failed` is told when no session is open to take the edit; the command then leaves the stack.
  EditCommand(DeskState& state, session::Edit edit, const QString& words,
              std::function<void(const Error&)> failed);
  void redo() override;
  void undo() override;

 private:
  void append(session::Edit edit);
  void take_back();

  DeskState& state_;
  session::Edit edit_;
  std::function<void(const Error&)> failed_;
  session::Edit last_;  // what was added last: the edit, or the undo of what was last before
};

}  // namespace moundwork::desk
