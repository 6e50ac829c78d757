// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/roster_history.h"

#include <QUndoStack>
#include <utility>

namespace moundwork::desk {

class RosterHistory::Step : public QUndoCommand {
 public:
  Step(RosterHistory& history, const QString& what, std::vector<RosterAthlete> before,
       std::vector<RosterAthlete> after)
      : QUndoCommand(what),
        history_(history),
        before_(std::move(before)),
        after_(std::move(after)) {}
  void undo() override {
    if (!history_.put(before_)) setObsolete(true);
  }
  void redo() override {
    // The stack calls this once as it takes the step, when the change has been made already.
    if (std::exchange(fresh_, false)) return;
    if (!history_.put(after_)) setObsolete(true);
  }

 private:
  RosterHistory& history_;
  std::vector<RosterAthlete> before_, after_;
  bool fresh_ = true;
};

RosterHistory::RosterHistory(DeskState& state, QUndoStack& stack, QObject* parent)
    : QObject(parent), state_(state), stack_(stack) {
  connect(&state_, &DeskState::roster_changed, this, [this] {
    if (!own_) stack_.clear();
  });
}

Result<void> RosterHistory::change(const QString& what, std::vector<RosterAthlete> after) {
  auto before = state_.roster();
  own_ = true;
  auto written = state_.set_roster(after);
  own_ = false;
  if (written) stack_.push(new Step(*this, what, std::move(before), std::move(after)));
  return written;
}

bool RosterHistory::put(const std::vector<RosterAthlete>& athletes) {
  own_ = true;
  const auto written = state_.set_roster(athletes);
  own_ = false;
  if (!written) Q_EMIT refused(written.error());
  return written.has_value();
}

}  // namespace moundwork::desk
