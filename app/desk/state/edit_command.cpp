// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/edit_command.h"

#include <utility>

#include "core/session/edit_state.h"

namespace moundwork::desk {

EditCommand::EditCommand(DeskState& state, session::Edit edit, const QString& words,
                         std::function<void(const Error&)> failed)
    : QUndoCommand(words), state_(state), edit_(std::move(edit)), failed_(std::move(failed)) {}

void EditCommand::redo() {
  if (row_)
    append_undo_of(undo_row_, row_);
  else
    append(edit_, nullptr, row_);
}

void EditCommand::undo() { append_undo_of(row_, undo_row_); }

void EditCommand::append(session::Edit edit, const EditRow& undoes, EditRow& row) {
  auto added = state_.add_edit(std::move(edit), undoes);
  if (!added) {
    setObsolete(true);
    failed_(added.error());
    return;
  }
  row = std::move(*added);
}

void EditCommand::append_undo_of(const EditRow& taken_back, EditRow& row) {
  // What is taken back must be seen, whichever throw is looked at by now.
  state_.show_throw_at(edit_.throw_contact);
  append(session::undo_of(edit_, taken_back->load()), taken_back, row);
}

}  // namespace moundwork::desk
