// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/output/pseudonym.h"
#include "core/output/table.h"
#include "core/relate/session_input.h"

namespace moundwork::output {

/// A session as it may leave the lab: with its names, or with codes in their place.
struct ExportedSession {
  relate::AnalysedSession session;
  std::optional<int> age;  ///< whole years at the session
};

[[nodiscard]] ExportedSession exported(relate::AnalysedSession session);

/// The same with codes for the session and for every person the pseudonyms know, in free texts
/// too (pseudonymous.h); without the date of birth. Free texts may name anyone, so `know_people` of
/// all sessions comes first.
[[nodiscard]] ExportedSession exported(relate::AnalysedSession session,
                                       const Pseudonyms& pseudonyms);

/// What stands over a column.
struct Head {
  std::string name, unit, definition;
};
/// The columns that say whose a row is, the same in every table.
[[nodiscard]] Head athlete_head();
[[nodiscard]] Head session_head();
/// The athlete's id, or the name where there is none.
[[nodiscard]] std::string athlete_of(const ExportedSession& session);

/// The tables "sessions", "throws" (a row a throw, quantities in columns), "values" (a row a throw
/// and quantity), "flags" and "definitions" (what each column and key means). Excluded throws are
/// in them, marked. docs/tables.md describes the columns.
/// `events` are further tables, whose columns are defined with the others.
[[nodiscard]] std::vector<Table> tidy_tables(std::span<const ExportedSession> sessions,
                                             std::vector<Table> events = {});

/// Start of the names of a session's files: athlete, day and session, of characters that every file
/// system takes.
[[nodiscard]] std::string file_stem(const ExportedSession& session);

}  // namespace moundwork::output
