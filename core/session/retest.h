// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/session.h"

/// A retest is a session that repeats another of the same athlete soon after, with nothing changed
/// on purpose: what the two differ by is what days differ by. Somebody has to say so; two sessions
/// that happen to be there hold training and growth as well.
namespace moundwork::session {

/// Calendar days between a session and its retest; a week keeps the days of the week alike and is
/// short for training and growth.
inline constexpr int usual_change_days = 7;

/// Identity of the session that this one repeats, by the last edit that stands.
[[nodiscard]] std::optional<std::string> retest_of(std::span<const Edit> edits);

/// Calendar days from one session to the other, either way; none where one has no date.
[[nodiscard]] std::optional<int> days_between(const std::string& day, const std::string& other_day);

/// As much of a session as naming a retest asks for.
struct RetestSide {
  std::string where;  ///< what sentences call it, as its file
  std::string id;
  std::string day;  ///< 2026-07-04, of its own place
  Athlete athlete;
};
[[nodiscard]] RetestSide retest_side(const Session& session, std::string where);

/// The edit that names `session` a retest of `other`. Fails where they are one session, are not
/// known to be of one athlete, or lie more than `change_days` apart. `when`, `who` and `why` are
/// the caller's to fill in.
[[nodiscard]] Result<Edit> retest_edit(const RetestSide& session, const RetestSide& other,
                                       int change_days = usual_change_days);

/// The edit that takes the name of a retest away again.
[[nodiscard]] Edit no_retest_edit();

}  // namespace moundwork::session
