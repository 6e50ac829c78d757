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
  /// `failed` is told when the list cannot be written; the command then leaves the stack.
  EditCommand(DeskState& state, session::Edit edit, const QString& words,
              std::function<void(const Error&)> failed);
  void redo() override;
  void undo() override;

 private:
  void append(session::Edit edit, std::size_t& row);
  void append_undo_of(std::size_t taken_back, std::size_t& row);

  DeskState& state_;
  session::Edit edit_;
  std::function<void(const Error&)> failed_;
  bool done_before_ = false;
  std::size_t row_ = 0;       // of the edit in the list
  std::size_t undo_row_ = 0;  // of the edit that took it back
};

}  // namespace moundwork::desk
