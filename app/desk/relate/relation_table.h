// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/progress.h"
#include "core/definitions/shown_unit.h"
#include "core/relate/change.h"
#include "core/relate/cue.h"
#include "core/relate/relation.h"
#include "core/relate/session_input.h"
#include "core/session/retest.h"

/// What the page of relations shows, without a widget.
namespace moundwork::desk {

/// The throw that a row of pitches was measured on.
struct RowSource {
  std::filesystem::path session;
  int number = 0;
};

struct RelateAnswer {
  relate::Pitches pitches;
  std::vector<RowSource> sources;  ///< one a row of pitches
  relate::Report report;
  std::vector<std::string> cues;  ///< that some pitch was tagged with
  std::optional<relate::CueReport> cue;
  std::string no_cue;  ///< why there is no comparison
  std::optional<relate::ChangeReport> change;
  std::string no_change;
  std::vector<session::RetestSide> sessions;  ///< that were read, in order of their start
  std::vector<std::string> left_out;          ///< sessions that could not be used, and why
};

/// `athlete`: identity of the one athlete, everybody's when empty. `cue`: of which to tell the
/// difference; the first tagged one when empty. `units`: of every value and sentence of the answer.
/// A single file is taken though its athlete has neither id nor name. Fails when no session is left
/// or when stopped.
[[nodiscard]] Result<RelateAnswer> relate_sessions(const std::vector<std::filesystem::path>& files,
                                                   const std::string& athlete,
                                                   const std::string& cue,
                                                   const Progress& progress = {},
                                                   const definitions::ChosenUnits& units = {});

/// How a quantity went with ball speed: within athletes where there are several, of the one
/// athlete's pitches otherwise.
[[nodiscard]] const stats::Correlation& correlation_of(const relate::Relation& relation);

/// Indices of the report's relations that have a correlation that says something (two throws lie on
/// a line whatever they are), the strongest first.
[[nodiscard]] std::vector<std::size_t> by_strength(const relate::Report& report);

/// "0.62 (0.21 to 0.84)"; without an interval it says why.
[[nodiscard]] std::string correlation_text(const stats::Correlation& correlation);
/// "yes", "here only", "hardly", "cannot tell": whether a number goes with ball speed.
[[nodiscard]] std::string verdict_text(relate::Verdict verdict);
/// Whether it lies beyond its limit, whatever that rests on.
[[nodiscard]] bool beyond_limit(const relate::Change& change);
/// Indices of an athlete's changes (of everybody's where empty): those beyond what days differ by
/// first, then those beyond scatter and measurement, and each kind by how far it reaches.
[[nodiscard]] std::vector<std::size_t> changes_to_show(const relate::ChangeReport& report,
                                                       const std::string& athlete,
                                                       bool only_beyond);
/// What is said of a change in a cell: "beyond days", "beyond scatter", "may be chance".
[[nodiscard]] std::string change_word(const relate::Change& change);
/// Under the changes that are shown: the first in words, growth, and what the others' retests are
/// for where they are too few.
[[nodiscard]] std::string change_words(const relate::ChangeReport& report,
                                       const std::string& athlete);
/// Of the answer's sessions those that the open one may be named a retest of.
[[nodiscard]] std::vector<session::RetestSide> retest_choices(
    const std::vector<session::RetestSide>& sessions, const session::RetestSide& open);
/// "+0.4 mph" and "0.3 mph"; an empty limit where there is none.
[[nodiscard]] std::string difference_text(const relate::Change& change);
[[nodiscard]] std::string limit_text(const relate::Change& change);
/// What a number is, and from where to where it went in these throws.
[[nodiscard]] std::string number_help(const relate::Pitches& pitches,
                                      const relate::Quantity& quantity);

}  // namespace moundwork::desk
