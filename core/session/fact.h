// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/measured.h"
#include "core/session/edit.h"
#include "core/session/session.h"

/// What a session says of its athlete and its air, and how a person puts it right. The session file
/// never changes: who opens it sees the facts as its edits have them (core/session/reader.h).
namespace moundwork::session {

enum class Fact {
  athlete,  ///< the athlete's id in the lab
  name,
  born,  ///< YYYY-MM-DD
  throws,
  mass,         ///< kg
  height,       ///< m
  temperature,  ///< degrees Celsius
  pressure,     ///< Pa
  humidity      ///< 0 to 1
};
inline constexpr int fact_count = 9;

/// Key of a fact as an edit has it in `target`.
[[nodiscard]] std::string_view key_of(Fact fact);
[[nodiscard]] std::optional<Fact> find_fact(std::string_view key);
/// Unit of a fact that is a number; empty for one that is text.
[[nodiscard]] std::string_view unit_of(Fact fact);

/// The edit that says so. `when`, `who` and `why` are the caller's to fill in.
[[nodiscard]] Edit set_fact(Fact fact, const Measured& value);
[[nodiscard]] Edit set_fact(Fact fact, const std::string& text);

/// Length of a foot that nobody measured, of the height (Drillis and Contini 1966, from memory).
inline constexpr double foot_over_height = 0.152;
/// Breadth of a foot, of its length (the same source: 0.055 over 0.152 of height).
inline constexpr double foot_breadth_over_length = 0.36;

/// Puts into a session what the edits that stand say; others and unknown facts say nothing. A foot
/// line that was guessed from the athlete's height and hand follows them.
void apply_facts(std::span<const Edit> edits, Session& session);

}  // namespace moundwork::session
