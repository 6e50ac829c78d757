// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <span>
#include <string>
#include <string_view>

namespace moundwork::session {

/// s; an edit names its throw by the time of lead contact as found, which another analysis may
/// shift by some milliseconds; throws lie seconds apart.
inline constexpr double same_throw = 0.25;

enum class Action {
  move_event,  ///< the event `target` is at `value`
  reset,       ///< the event `target`, or all where it is empty, is as found again
  exclude,     ///< the throw does not count, `why` says the reason
  include,     ///< it counts again
  tag,         ///< the tag `target` is `text`; an empty text takes it away
  mark,        ///< the moment `target` is seen at `frame` of a video
  set_fact,    ///< the session's fact `target` is `value`, or `text` where it is no number
  cue_order,   ///< cues are given in the order that `text` holds, from `value` on (cue_order.h)
  retest,      ///< the session repeats the one whose identity is `text`; an empty text: none
  undo,        ///< the edit `undoes` does not count
  unknown      ///< of a later version of the program; says nothing
};
[[nodiscard]] std::string_view key_of(Action action);
/// `unknown` where no action has this key.
[[nodiscard]] Action action_from(std::string_view key);

/// A change by a person, on a list that only grows: the original stays. What an action does not use
/// is as here.
struct Edit {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();

  std::string id;    ///< UUID, stays with copies; an edit is known by it alone
  std::string when;  ///< ISO 8601
  std::string who;
  std::string why;
  /// s; which throw, by lead contact as found. NaN for an edit of the session as a whole.
  double throw_contact = none;
  Action action = Action::unknown;
  std::string target;  ///< key of the event, the mark or the fact, the tag's name, or the day of
                       ///< the session that is repeated
  /// Session time of a moved event and of the begin of an order of cues, s; a fact's number.
  double value = 0.0;
  double u = 0.0;    ///< standard uncertainty of `value`; 0 where none is stated
  std::string unit;  ///< of a fact's number
  std::string text;
  double frame = none;          ///< of a mark, in a video or a worn sensor's recording
  double landing_frame = none;  ///< where the lead foot lands in the same recording
  double rate = none;           ///< its frames a second
  std::string undoes;           ///< id of the edit that an undo takes back
};

/// A new random identity for an edit.
[[nodiscard]] std::string new_edit_id();

/// Whether an edit is about the throw with this lead contact, s.
[[nodiscard]] bool is_about(const Edit& edit, double contact);

/// The edit that takes back another. `when`, `who` and `why` are the caller's to fill in.
[[nodiscard]] Edit undo_of(const Edit& taken_back);

/// What an edit does, for people: "moved lead contact to 12.3456 s". The list tells what an undo
/// takes back.
[[nodiscard]] std::string words_of(const Edit& edit, std::span<const Edit> list);

}  // namespace moundwork::session
