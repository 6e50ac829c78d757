// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/session/edit.h"
#include "core/session/results.h"

namespace moundwork::session {

/// An event as a person put it.
struct MovedEvent {
  std::string event;  ///< catalogue key
  double time = 0.0;  ///< session time, s
  double u = 0.0;     ///< standard uncertainty, s; 0 where none was stated
  std::string when, who, why;
};

struct Exclusion {
  std::string when, who, why;
};

/// What a session's edits say of one throw when all are taken together.
struct EditState {
  std::vector<MovedEvent> moved;  ///< each event at most once, the last move counts
  std::optional<Exclusion> excluded;
  std::map<std::string, std::string> tags;  ///< the last text of each name; an empty one removes it
  [[nodiscard]] std::string tag(const std::string& name) const;  ///< empty where there is none
};

/// Which edits still stand. An undo takes back the edit it names, where that comes before it in the
/// list; since an undo can be taken back too, redoing is undoing the undo.
[[nodiscard]] std::vector<bool> standing(std::span<const Edit> edits);

/// `contact` is the throw's lead contact as found, s. Edits of unknown actions say nothing.
[[nodiscard]] EditState state_of(std::span<const Edit> edits, double contact);

/// Whether results were made with the session's facts, and the masses of its balls, as the edits
/// have them now; if not, the session needs to be analysed again.
[[nodiscard]] bool facts_in(const ResultSet& results, std::span<const Edit> edits);

/// Whether a throw's results were made with its events where the edits have them now; if not, the
/// session needs to be analysed again.
[[nodiscard]] bool moves_in(const ResultThrow& results, const EditState& state);

/// Place in the list of the edit that "undo" should take back: the last one that stands and is no
/// undo itself; none if there is none.
[[nodiscard]] std::optional<std::size_t> place_to_undo(std::span<const Edit> edits);
/// Place of the undo that "redo" should take back: the last one that stands, unless another edit
/// has been made since.
[[nodiscard]] std::optional<std::size_t> place_to_redo(std::span<const Edit> edits);

}  // namespace moundwork::session
