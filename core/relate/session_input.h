// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/relate/pitches.h"
#include "core/session/edit.h"
#include "core/session/results.h"
#include "core/session/retest.h"
#include "core/session/session.h"

namespace moundwork::relate {

/// A session that has been analysed, as far as relating needs it.
struct AnalysedSession {
  std::string file;  ///< for sentences
  std::string id;
  std::string started;       ///< ISO 8601, UTC
  session::Athlete athlete;  ///< as put right by edits
  session::ResultSet results;
  std::vector<session::Edit> edits;
  session::Athlete recorded = {};  ///< as the session was recorded
  session::SessionZone zone = {};
};

/// Fails on a file that is no session or has not been analysed.
[[nodiscard]] Result<AnalysedSession> read_analysed_session(const std::filesystem::path& path);

/// One row a throw, sessions in order of their start, labelled by their day (with the time where an
/// athlete has two on one day). `keys` of the catalogue, or every quantity that some throw has when
/// empty, of which those that answer a question (core/relate/questions.h) are tested. Excluded
/// throws and warm-ups are left out and counted in the notes, which also name events moved since
/// the analysis; the tags "cue" and "block" count. Fails on an unknown key, on ball speed as a
/// quantity and on a session given twice. Sessions that were named as retests count as such where
/// both are given and lie no more than `change_days` apart; what does not is counted in the notes.
/// Results that do not tell which part of u all throws share have all of it taken as shared.
[[nodiscard]] Result<Pitches> pitches_from_sessions(std::vector<AnalysedSession> sessions,
                                                    const std::vector<std::string>& keys,
                                                    int change_days = session::usual_change_days);

}  // namespace moundwork::relate
