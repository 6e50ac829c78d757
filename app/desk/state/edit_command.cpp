// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/state/edit_command.h"

#include <utility>

#include "core/session/edit.h"

namespace moundwork::desk {

EditCommand::EditCommand(DeskState& state, session::Edit edit, const QString& words,
                         std::function<void(const Error&)> failed)
    : QUndoCommand(words), state_(state), edit_(std::move(edit)), failed_(std::move(failed)) {}

void EditCommand::redo() {
  if (last_.id.empty())
    append(edit_);
  else
    take_back();
}

void EditCommand::undo() { take_back(); }

void EditCommand::take_back() {
  // What is taken back must be seen, whichever throw is looked at by now.
  state_.show_throw_at(edit_.throw_contact);
  append(session::undo_of(last_));
}

void EditCommand::append(session::Edit edit) {
  auto added = state_.add_edit(std::move(edit));
  if (!added) {
    setObsolete(true);
    failed_(added.error());
    return;
  }
  last_ = std::move(*added);
}

}  // namespace moundwork::desk
