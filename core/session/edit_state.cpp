// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_state.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

#include "core/session/throw_fields.h"

namespace moundwork::session {
namespace {

using Places = std::vector<std::optional<std::size_t>>;

// For each undo the place of what it takes back: an earlier edit, else it says nothing.
Places taken_back(std::span<const Edit> edits) {
  std::unordered_map<std::string_view, std::size_t> place_of;
  Places taken(edits.size());
  for (std::size_t place = 0; place < edits.size(); ++place) {
    const Edit& edit = edits[place];
    if (edit.action == Action::undo)
      if (const auto found = place_of.find(edit.undoes); found != place_of.end())
        taken[place] = found->second;
    if (!edit.id.empty()) place_of.emplace(edit.id, place);
  }
  return taken;
}

void forget_moves(std::vector<MovedEvent>& moved, const std::string& event) {
  moved.erase(
      std::remove_if(moved.begin(), moved.end(),
                     [&](const MovedEvent& m) { return event.empty() || m.event == event; }),
      moved.end());
}

}  // namespace

std::string EditState::tag(const std::string& name) const {
  const auto found = tags.find(name);
  return found == tags.end() ? std::string() : found->second;
}

std::vector<bool> standing(std::span<const Edit> edits) {
  std::vector<bool> stands(edits.size(), true);
  const Places taken = taken_back(edits);
  // Only a later edit can take one back, so from the end each one's fate is known when its turn
  // comes.
  for (std::size_t place = edits.size(); place-- > 0;)
    if (stands[place] && taken[place]) stands[*taken[place]] = false;
  return stands;
}

EditState state_of(std::span<const Edit> edits, double contact) {
  const std::vector<bool> stands = standing(edits);
  EditState state;
  for (std::size_t row = 0; row < edits.size(); ++row) {
    const Edit& edit = edits[row];
    if (!stands[row] || !is_about(edit, contact)) continue;
    if (edit.action == Action::move_event) {
      forget_moves(state.moved, edit.target);
      state.moved.push_back({edit.target, edit.value, edit.u, edit.when, edit.who, edit.why});
    } else if (edit.action == Action::reset) {
      forget_moves(state.moved, edit.target);
    } else if (edit.action == Action::exclude) {
      state.excluded = Exclusion{edit.when, edit.who, edit.why};
    } else if (edit.action == Action::include) {
      state.excluded.reset();
    } else if (edit.action == Action::tag) {
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

bool facts_in(const ResultSet& results, std::span<const Edit> edits) {
  const auto changes_numbers = [&](const Edit& edit) {
    const Edit* about = &edit;
    for (; about->action == Action::undo;) {
      const auto found = std::find_if(edits.begin(), edits.end(),
                                      [&](const Edit& one) { return one.id == about->undoes; });
      if (found == edits.end() || &*found >= about) return false;
      about = &*found;
    }
    // The ball's mass enters its flight.
    return about->action == Action::set_fact ||
           (about->action == Action::tag && find_throw_field(about->target) == ThrowField::ball);
  };
  const std::size_t known = std::min(results.edits_known, edits.size());
  return std::none_of(edits.begin() + static_cast<std::ptrdiff_t>(known), edits.end(),
                      changes_numbers);
}

std::optional<std::size_t> place_to_undo(std::span<const Edit> edits) {
  const std::vector<bool> stands = standing(edits);
  for (std::size_t place = edits.size(); place-- > 0;)
    if (stands[place] && edits[place].action != Action::undo) return place;
  return std::nullopt;
}

std::optional<std::size_t> place_to_redo(std::span<const Edit> edits) {
  const std::vector<bool> stands = standing(edits);
  const Places taken = taken_back(edits);
  for (std::size_t place = edits.size(); place-- > 0;) {
    if (edits[place].action != Action::undo) return std::nullopt;
    // An undo of an undo is a redo already made: what it brought back must not be undone here.
    if (stands[place] && taken[place] && edits[*taken[place]].action != Action::undo) return place;
  }
  return std::nullopt;
}

}  // namespace moundwork::session
