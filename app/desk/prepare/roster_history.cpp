// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_history.h"

#include <QUndoStack>
#include <utility>

namespace moundwork::desk {

class RosterHistory::Step : public QUndoCommand {
 public:
  Step(RosterHistory& history, const QString& what, std::vector<people::RowChange> made)
      : QUndoCommand(what), history_(history), made_(std::move(made)) {}
  void undo() override {
    if (!history_.put(people::reversed(made_))) setObsolete(true);
  }
  void redo() override {
    // The stack calls this once as it takes the step, when the change has been made already.
    if (std::exchange(fresh_, false)) return;
    if (!history_.put(made_)) setObsolete(true);
  }

 private:
  RosterHistory& history_;
  std::vector<people::RowChange> made_;
  bool fresh_ = true;
};

RosterHistory::RosterHistory(DeskState& state, QUndoStack& stack, QObject* parent)
    : QObject(parent), state_(state), stack_(stack) {
  connect(&state_, &DeskState::roster_changed, this, [this] {
    if (!own_ && !state_.taking_over()) stack_.clear();
  });
}

Result<void> RosterHistory::change(const QString& what, const std::vector<RosterAthlete>& after) {
  const auto made = change(what, people::changes_between(state_.roster(), after));
  if (!made) return tl::make_unexpected(made.error());
  return {};
}

Result<std::vector<people::RowChange>> RosterHistory::change(
    const QString& what, const std::vector<people::RowChange>& changes) {
  own_ = true;
  auto made = state_.change_roster(changes);
  own_ = false;
  if (made && !made->empty()) stack_.push(new Step(*this, what, *made));
  return made;
}

bool RosterHistory::put(const std::vector<people::RowChange>& changes) {
  own_ = true;
  const auto made = state_.change_roster(changes);
  own_ = false;
  if (!made) Q_EMIT refused(made.error());
  return made.has_value();
}

}  // namespace moundwork::desk
