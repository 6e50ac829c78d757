// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_state.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace moundwork::session {
namespace {

const char* const undo = "undo";

// The row an undo takes back: an earlier one, else the edit says nothing.
std::optional<std::size_t> row_taken_back(const Edit& edit, std::size_t own_row) {
  if (edit.action != undo || !(edit.value >= 0.0) || edit.value >= static_cast<double>(own_row))
    return std::nullopt;
  return static_cast<std::size_t>(edit.value);
}

void forget_moves(std::vector<MovedEvent>& moved, const std::string& event) {
  moved.erase(
      std::remove_if(moved.begin(), moved.end(),
                     [&](const MovedEvent& m) { return event.empty() || m.event == event; }),
      moved.end());
}

}  // namespace

std::vector<bool> standing(std::span<const Edit> edits) {
  std::vector<bool> stands(edits.size(), true);
  // Only a later edit can take one back, so from the end each one's fate is known when its turn
  // comes.
  for (std::size_t row = edits.size(); row-- > 0;)
    if (const auto taken = row_taken_back(edits[row], row); stands[row] && taken)
      stands[*taken] = false;
  return stands;
}

EditState state_of(std::span<const Edit> edits, double contact) {
  const std::vector<bool> stands = standing(edits);
  EditState state;
  for (std::size_t row = 0; row < edits.size(); ++row) {
    const Edit& edit = edits[row];
    if (!stands[row] || !(std::abs(edit.throw_contact - contact) <= same_throw)) continue;
    if (edit.action == "move_event") {
      forget_moves(state.moved, edit.target);
      state.moved.push_back({edit.target, edit.value, edit.u, edit.when, edit.who, edit.why});
    } else if (edit.action == "reset") {
      forget_moves(state.moved, edit.target);
    } else if (edit.action == "exclude") {
      state.excluded = Exclusion{edit.when, edit.who, edit.why};
    } else if (edit.action == "include") {
      state.excluded.reset();
    } else if (edit.action == "tag") {
      if (edit.text.empty())
        state.tags.erase(edit.target);
      else
        state.tags[edit.target] = edit.text;
    }
  }
  return state;
}

bool moves_in(const ResultThrow& results, const EditState& state) {
  const auto moves_told =
      std::count_if(results.flags.begin(), results.flags.end(), [](const ResultFlag& flag) {
        return flag.key == "moved_by_hand" || flag.key == "move_not_used";
      });
  if (static_cast<std::size_t>(moves_told) != state.moved.size()) return false;
  for (const MovedEvent& moved : state.moved)
    for (const ResultValue& event : results.events) {
      constexpr double same_time = 1e-9;  // s; both were stored as they are
      if (event.key != moved.event || std::abs(event.measured.value - moved.time) < same_time)
        continue;
      // A move that could not be used leaves the event as found.
      const bool unused =
          std::any_of(results.flags.begin(), results.flags.end(), [&](const ResultFlag& flag) {
            return flag.key == "move_not_used" && flag.detail.rfind(moved.event + ' ', 0) == 0;
          });
      if (!unused) return false;
    }
  return true;
}

std::optional<std::size_t> row_to_undo(std::span<const Edit> edits) {
  const std::vector<bool> stands = standing(edits);
  for (std::size_t row = edits.size(); row-- > 0;)
    if (stands[row] && edits[row].action != undo) return row;
  return std::nullopt;
}

std::optional<std::size_t> row_to_redo(std::span<const Edit> edits) {
  const std::vector<bool> stands = standing(edits);
  for (std::size_t row = edits.size(); row-- > 0;) {
    if (edits[row].action != undo) return std::nullopt;
    // An undo of an undo is a redo already made: what it brought back must not be undone here.
    const auto taken = row_taken_back(edits[row], row);
    if (stands[row] && taken && edits[*taken].action != undo) return row;
  }
  return std::nullopt;
}

Edit undo_of(std::span<const Edit> edits, std::size_t row) {
  if (row >= edits.size()) throw std::out_of_range("undo_of: no such edit");
  return undo_of(edits[row], row);
}

Edit undo_of(const Edit& taken_back, std::size_t row) {
  Edit edit;
  edit.throw_contact = taken_back.throw_contact;
  edit.action = undo;
  edit.target = taken_back.target;
  edit.value = static_cast<double>(row);
  return edit;
}

}  // namespace moundwork::session
