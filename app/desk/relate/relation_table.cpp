// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/relation_table.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/session/edit_state.h"

namespace moundwork::desk {
namespace {

struct Read {
  std::filesystem::path path;
  relate::AnalysedSession session;
};

std::vector<RowSource> sources_of(const std::vector<Read>& sessions) {
  // In the order of pitches_from_sessions: by start, excluded throws left out.
  std::vector<RowSource> sources;
  for (const Read& read : sessions)
    for (const session::ResultThrow& thrown : read.session.results.throws)
      if (!session::state_of(read.session.edits, seconds(thrown.contact)).excluded)
        sources.push_back({read.path, thrown.number});
  return sources;
}

std::vector<std::string> cues_of(const relate::Pitches& pitches) {
  std::set<std::string> cues;
  for (const relate::Pitch& pitch : pitches.rows)
    if (!pitch.cue.empty()) cues.insert(pitch.cue);
  return {cues.begin(), cues.end()};
}

}  // namespace

Result<RelateAnswer> relate_sessions(const std::vector<std::filesystem::path>& files,
                                     const std::string& athlete, const std::string& cue,
                                     const Progress& progress) {
  RelateAnswer answer;
  std::vector<Read> sessions;
  std::set<std::string> identities;
  constexpr double reading_share = 0.3;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const auto& file = files[i];
    const double done = static_cast<double>(i) / static_cast<double>(files.size());
    if (!goes_on(progress, reading_share * done)) return stopped("relate");
    auto read = relate::read_analysed_session(file);
    if (!read) {
      answer.left_out.push_back(read.error().sentence());
      continue;
    }
    if (!athlete.empty() && read->athlete.id != athlete) continue;
    if (!identities.insert(read->id).second) continue;  // a copy of one already taken
    sessions.push_back({file, std::move(*read)});
  }
  if (sessions.empty())
    return fail("the lab's folder", "holds no measured session of this choice",
                "record or open a session and look at it on the page before");
  std::stable_sort(sessions.begin(), sessions.end(), [](const Read& a, const Read& b) {
    return a.session.started < b.session.started;
  });
  std::vector<relate::AnalysedSession> analysed;
  analysed.reserve(sessions.size());
  for (const Read& read : sessions) analysed.push_back(read.session);
  auto pitches = relate::pitches_from_sessions(std::move(analysed), {});
  if (!pitches) return tl::make_unexpected(pitches.error());
  answer.pitches = std::move(*pitches);
  answer.sources = sources_of(sessions);
  relate::Settings settings;
  settings.resample.progress = piece_of(progress, reading_share, 1.0);
  answer.report = relate::relate(answer.pitches, settings);
  if (!goes_on(progress, 1.0)) return stopped("relate");
  answer.cues = cues_of(answer.pitches);
  if (answer.cues.empty()) {
    answer.no_cue = "No throw is tagged with a cue: tag them while they are thrown.";
  } else {
    const bool known = std::find(answer.cues.begin(), answer.cues.end(), cue) != answer.cues.end();
    auto tested = relate::test_cue(answer.pitches, known ? cue : answer.cues.front(), {}, settings);
    if (tested)
      answer.cue = std::move(*tested);
    else
      answer.no_cue = tested.error().sentence();
  }
  auto change = relate::find_changes(answer.pitches, {}, settings);
  if (change)
    answer.change = std::move(*change);
  else
    answer.no_change = change.error().sentence();
  return answer;
}

const stats::Correlation& correlation_of(const relate::Relation& relation) {
  return relation.athletes > 1 ? relation.repeated_measures : relation.pearson;
}

std::vector<std::size_t> by_strength(const relate::Report& report) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < report.relations.size(); ++i)
    if (std::isfinite(correlation_of(report.relations[i]).r)) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return std::abs(correlation_of(report.relations[a]).r) >
           std::abs(correlation_of(report.relations[b]).r);
  });
  return order;
}

}  // namespace moundwork::desk
