// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/retest.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <utility>

#include "core/base/sentence.h"
#include "core/base/wall_time.h"
#include "core/session/edit_state.h"
#include "core/session/identity.h"
#include "core/session/start.h"

namespace moundwork::session {

std::optional<std::string> retest_of(std::span<const Edit> edits) {
  const std::vector<bool> stands = standing(edits);
  for (std::size_t place = edits.size(); place-- > 0;)
    if (stands[place] && edits[place].action == Action::retest)
      return edits[place].text.empty() ? std::nullopt : std::optional(edits[place].text);
  return std::nullopt;
}

std::optional<int> days_between(const std::string& day, const std::string& other_day) {
  const auto one = date_of(day);
  const auto other = date_of(other_day);
  if (!one || !other) return std::nullopt;
  const auto days = std::chrono::sys_days(*one) - std::chrono::sys_days(*other);
  return std::abs(static_cast<int>(days.count()));
}

RetestSide retest_side(const Session& session, std::string where) {
  return {std::move(where), session.id, day_of(session), session.athlete};
}

Result<Edit> retest_edit(const RetestSide& session, const RetestSide& other, int change_days) {
  const std::string& where = session.where;
  if (session.id == other.id)
    return fail(where, sentence("is the same session, which is no retest of itself"),
                sentence("name another session of this athlete"));
  const auto that = "other"_is(other.where);
  const std::string& who = identity_of(session.athlete);
  if (who.empty() || who != identity_of(other.athlete) ||
      births_differ(session.athlete.born, other.athlete.born))
    return fail(where, sentence("is not known to be of the same athlete as {other}", that),
                sentence("name a session of this athlete, or put the athlete's id right"));
  const auto apart = days_between(session.day, other.day);
  if (!apart)
    return fail(where, sentence("has no date, or {other} has none, so nobody can tell how far "
                                "apart they are",
                                that));
  if (*apart > change_days)
    return fail(
        where,
        sentence_for(*apart,
                     "is {days} day from {other}, and a retest lies within {most} (change_days)",
                     "is {days} days from {other}, and a retest lies within {most} (change_days)",
                     "days"_is(*apart), that, "most"_is(change_days)),
        sentence("name one that lies nearer, or allow more days between them"));
  Edit edit;
  edit.action = Action::retest;
  edit.target = other.day;
  edit.text = other.id;
  return edit;
}

Edit no_retest_edit() {
  Edit edit;
  edit.action = Action::retest;
  return edit;
}

}  // namespace moundwork::session
