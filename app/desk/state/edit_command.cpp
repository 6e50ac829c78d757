// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/edit_command.h"

#include <utility>

#include "core/session/edit_state.h"

namespace moundwork::desk {

EditCommand::EditCommand(DeskState& state, session::Edit edit, const QString& words,
                         std::function<void(const Error&)> failed)
    : QUndoCommand(words), state_(state), edit_(std::move(edit)), failed_(std::move(failed)) {}

void EditCommand::redo() {
  if (std::exchange(done_before_, true))
    append_undo_of(undo_row_, row_);
  else
    append(edit_, row_);
}

void EditCommand::undo() { append_undo_of(row_, undo_row_); }

void EditCommand::append(session::Edit edit, std::size_t& row) {
  if (auto added = state_.add_edit(std::move(edit)); !added) {
    setObsolete(true);
    failed_(added.error());
    return;
  }
  row = state_.session()->edits().size() - 1;
}

void EditCommand::append_undo_of(std::size_t taken_back, std::size_t& row) {
  if (state_.session() == nullptr) return setObsolete(true);
  session::Edit edit = session::undo_of(state_.session()->edits(), taken_back);
  append(std::move(edit), row);
}

}  // namespace moundwork::desk
