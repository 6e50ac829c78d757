// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/relate/relation_table.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "core/base/one_line.h"
#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/definitions/quantity_names.h"
#include "core/relate/shown.h"
#include "core/relate/words.h"
#include "core/session/edit_state.h"
#include "core/session/reader.h"
#include "core/session/start.h"
#include "core/session/throw_fields.h"

namespace moundwork::desk {
namespace {

const std::string& identity(const session::Athlete& athlete) {
  return athlete.id.empty() ? athlete.name : athlete.id;
}

struct Read {
  std::filesystem::path path;
  relate::AnalysedSession session;
};

std::vector<RowSource> sources_of(const std::vector<Read>& sessions) {
  // In the order of pitches_from_sessions: by start, throws that do not count left out.
  std::vector<RowSource> sources;
  for (const Read& read : sessions)
    for (const session::ResultThrow& thrown : read.session.results.throws)
      if (session::counts(session::state_of(read.session.edits, seconds(thrown.contact))))
        sources.push_back({read.path, thrown.number});
  return sources;
}

// The others' sessions that tell what days differ by: retests, and what they repeat.
std::vector<relate::AnalysedSession> retested(const std::vector<relate::AnalysedSession>& others) {
  std::set<std::string> wanted;
  for (const auto& session : others)
    if (const auto of = session::retest_of(session.edits)) {
      wanted.insert(session.id);
      wanted.insert(*of);
    }
  std::vector<relate::AnalysedSession> kept;
  for (const auto& session : others)
    if (wanted.erase(session.id) > 0) kept.push_back(session);
  return kept;
}

// Of those whose throws are shown, beside others' retests.
Result<relate::ChangeReport> changes_of(const relate::Pitches& shown,
                                        const std::vector<Read>& sessions,
                                        const std::vector<relate::AnalysedSession>& others,
                                        const definitions::ChosenUnits& units,
                                        const relate::Settings& settings) {
  std::vector<std::string> keys;
  for (const auto& quantity : shown.quantities) keys.push_back(quantity.key);
  std::vector<relate::AnalysedSession> all = retested(others);
  for (const Read& read : sessions) all.push_back(read.session);
  auto pitches = relate::pitches_from_sessions(std::move(all), keys);
  if (!pitches) return tl::make_unexpected(pitches.error());
  relate::show_units(*pitches, units);
  pitches->names = shown.names;
  relate::ChangeRequest request;
  for (const auto& row : shown.rows) request.athletes.push_back(row.athlete);
  std::sort(request.athletes.begin(), request.athletes.end());
  request.athletes.erase(std::unique(request.athletes.begin(), request.athletes.end()),
                         request.athletes.end());
  return relate::find_changes(*pitches, request, settings);
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
                                     const Progress& progress,
                                     const definitions::ChosenUnits& units) {
  RelateAnswer answer;
  std::vector<Read> sessions;
  std::vector<relate::AnalysedSession> others;
  std::set<std::string> identities;
  constexpr double reading_share = 0.3;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const auto& file = files[i];
    const double done = static_cast<double>(i) / static_cast<double>(files.size());
    if (!goes_on(progress, reading_share * done)) return stopped("relate");
    auto read = relate::read_analysed_session(file);
    if (!read) {
      // Of another athlete it says nothing here; one that cannot be opened may be anybody's.
      const auto reader = session::Reader::open(file);
      if (!athlete.empty() && reader && identity(reader->session().athlete) != athlete) continue;
      answer.left_out.push_back(
          reader && read.error().remedy == Remedy::measure
              ? sentence("{file} is not in this: it has not been measured since it was recorded "
                         "or changed. Open it, and Review measures it.",
                         "file"_is(file.filename().string()))
              : read.error().sentence());
      continue;
    }
    if (files.size() == 1 && identity(read->athlete).empty())
      read->athlete.name = sentence("Athlete without a name");
    if (!identities.insert(read->id).second) continue;  // a copy of one already taken
    if (!athlete.empty() && identity(read->athlete) != athlete) {
      others.push_back(std::move(*read));
      continue;
    }
    answer.sessions.push_back({file.filename().string(), read->id,
                               session::day_of(read->started, read->zone), read->athlete});
    sessions.push_back({file, std::move(*read)});
  }
  if (sessions.empty())
    return fail({}, sentence("No session of this choice has been measured yet"),
                sentence("record one, or open one and look at it under Review"));
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
  relate::show_units(answer.pitches, units);
  for (const Read& read : sessions)
    if (const auto& of = read.session.athlete; !of.name.empty())
      answer.pitches.names[identity(of)] = one_line(of.name);
  relate::Settings settings;
  settings.resample.progress = piece_of(progress, reading_share, 1.0);
  answer.report = relate::relate(answer.pitches, settings);
  if (!goes_on(progress, 1.0)) return stopped("relate");
  answer.cues = cues_of(answer.pitches);
  if (answer.cues.empty()) {
    answer.no_cue = sentence("No throw is tagged with a cue: tag them while they are thrown.");
  } else {
    const bool known = std::find(answer.cues.begin(), answer.cues.end(), cue) != answer.cues.end();
    auto tested = relate::test_cue(answer.pitches, known ? cue : answer.cues.front(), {}, settings);
    if (tested)
      answer.cue = std::move(*tested);
    else
      answer.no_cue = sentence(
          "Every throw with a ball speed is tagged with a cue, so there is nothing to compare "
          "with: throw some without one in the same session.");
  }
  if (auto change = changes_of(answer.pitches, sessions, others, units, settings))
    answer.change = std::move(*change);
  else
    answer.no_change =
        athlete.empty()
            ? sentence(
                  "Nobody here has two sessions yet: a change is told between an athlete's "
                  "first and last.")
            : sentence(
                  "There is only one session of this athlete yet: a change is told between "
                  "the first and the last.");
  return answer;
}

const stats::Correlation& correlation_of(const relate::Relation& relation) {
  return std::isfinite(relation.within_selected.level) ? relation.within_selected.correlation
                                                       : relate::tested_within(relation);
}

std::vector<std::size_t> by_strength(const relate::Report& report) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < report.relations.size(); ++i)
    if (const auto& r = correlation_of(report.relations[i]); std::isfinite(r.r) && r.df > 0.0)
      order.push_back(i);
  // What is only there to look at comes last, however close it goes.
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const relate::Relation &one = report.relations[a], &other = report.relations[b];
    if (one.tested != other.tested) return one.tested;
    return std::abs(correlation_of(one).r) > std::abs(correlation_of(other).r);
  });
  return order;
}

std::string correlation_text(const stats::Correlation& correlation) {
  const auto r = "r"_is(plain_text(correlation.r, 2));
  if (!std::isfinite(correlation.low) || !std::isfinite(correlation.high))
    return sentence("{r} (too few for an interval)", r);
  return sentence("{r} ({low} to {high})", r, "low"_is(plain_text(correlation.low, 2)),
                  "high"_is(plain_text(correlation.high, 2)));
}

std::string verdict_text(relate::Verdict verdict) {
  switch (verdict) {
    case relate::Verdict::shown:
      return sentence("yes");
    case relate::Verdict::shown_here:
      return sentence("here only");
    case relate::Verdict::little:
      return sentence("hardly");
    case relate::Verdict::not_tested:
      return sentence("to look at");
    case relate::Verdict::cannot_tell:
    case relate::Verdict::undefined:
      break;
  }
  return sentence("cannot tell");
}

bool beyond_limit(const relate::Change& change) {
  return change.word == relate::ChangeWord::beyond_days ||
         change.word == relate::ChangeWord::beyond_scatter;
}

std::vector<std::size_t> changes_to_show(const relate::ChangeReport& report,
                                         const std::string& athlete, bool only_beyond) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < report.changes.size(); ++i) {
    const relate::Change& change = report.changes[i];
    if (std::isfinite(change.difference) && (athlete.empty() || change.athlete == athlete) &&
        (beyond_limit(change) || !only_beyond))
      order.push_back(i);
  }
  const auto rank = [&](std::size_t i) {
    const relate::Change& change = report.changes[i];
    return change.real ? 0 : beyond_limit(change) ? 1 : 2;
  };
  const auto reach = [&](std::size_t i) {
    const relate::Change& change = report.changes[i];
    return change.limit > 0.0 ? std::abs(change.difference) / change.limit : 0.0;
  };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return rank(a) != rank(b) ? rank(a) < rank(b) : reach(a) > reach(b);
  });
  return order;
}

std::string change_word(const relate::Change& change) {
  switch (change.word) {
    case relate::ChangeWord::beyond_days:
      return sentence("beyond days");
    case relate::ChangeWord::beyond_scatter:
      return sentence("beyond scatter");
    case relate::ChangeWord::within:
      return sentence("may be chance");
    default:
      return sentence("cannot tell");
  }
}

std::string change_words(const relate::ChangeReport& report, const std::string& athlete) {
  const auto beyond = changes_to_show(report, athlete, true);
  const auto all = changes_to_show(report, athlete, false);
  std::string words;
  if (all.empty() && !report.changes.empty()) {
    words = report.changes.front().says;
  } else if (beyond.empty()) {
    words = sentence("Nothing has changed by more than these sessions' own scatter explains.");
  } else {
    const auto count = static_cast<long>(all.size());
    words = report.changes[beyond.front()].says + ' ' +
            sentence_for(count, "{beyond} of {all} difference is beyond its limit.",
                         "{beyond} of {all} differences are beyond their limits.",
                         "beyond"_is(beyond.size()), "all"_is(count));
  }
  const std::string& first = report.changes.empty() ? athlete : report.changes.front().athlete;
  const bool one =
      std::all_of(report.changes.begin(), report.changes.end(),
                  [&](const relate::Change& change) { return change.athlete == first; });
  for (const auto& change : report.changes)
    if (change.growth && (one || change.athlete == athlete)) {
      words += ' ' + change.growth->says;
      break;
    }
  if (std::any_of(report.changes.begin(), report.changes.end(), [](const relate::Change& change) {
        return change.source == relate::LimitSource::pitches;
      }))
    words += ' ' + sentence(
                       "What days differ by is known once five other athletes have a session named "
                       "as a retest.");
  return words;
}

std::vector<session::RetestSide> retest_choices(const std::vector<session::RetestSide>& sessions,
                                                const session::RetestSide& open) {
  std::vector<session::RetestSide> choices;
  for (const session::RetestSide& session : sessions)
    if (session::retest_edit(open, session)) choices.push_back(session);
  return choices;
}

std::string difference_text(const relate::Change& change) {
  // A digit more than the limit's first tells on which side of it a difference lies.
  return with_unit(signed_text(change.difference, 0.1 * change.limit),
                   definitions::difference_unit(change.quantity.key, change.quantity.unit));
}

std::string limit_text(const relate::Change& change) {
  if (!std::isfinite(change.limit)) return {};
  return with_unit(number_text(change.limit, 0.1 * change.limit),
                   definitions::difference_unit(change.quantity.key, change.quantity.unit));
}

std::string number_help(const relate::Pitches& pitches, const relate::Quantity& quantity) {
  const auto known = definitions::find_quantity(quantity.key);
  double least = std::numeric_limits<double>::infinity(), greatest = -least;
  for (std::size_t q = 0; q < pitches.quantities.size(); ++q)
    if (pitches.quantities[q].key == quantity.key)
      for (const relate::Pitch& pitch : pitches.rows)
        if (const Measured& value = pitch.quantities[q]; value.known()) {
          least = std::min(least, value.value);
          greatest = std::max(greatest, value.value);
        }
  if (!known || !(least <= greatest)) return {};
  // As many digits as tell the least from the greatest.
  const double digits = 0.05 * (greatest - least);
  return sentence("{name}: {meaning}. In these throws {least} to {greatest}.",
                  "name"_is(relate::capitalised(relate::plain_name(quantity))),
                  "meaning"_is(definitions::plain_definition(*known)),
                  "least"_is(with_unit(number_text(least, digits), quantity.unit)),
                  "greatest"_is(with_unit(number_text(greatest, digits), quantity.unit)));
}

}  // namespace moundwork::desk
