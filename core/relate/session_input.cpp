// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/session_input.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "core/base/sentence.h"
#include "core/base/wall_time.h"
#include "core/definitions/catalogue.h"
#include "core/pitch/companion_check.h"
#include "core/relate/questions.h"
#include "core/relate/words.h"
#include "core/session/cue_order.h"
#include "core/session/edit_list.h"
#include "core/session/edit_state.h"
#include "core/session/identity.h"
#include "core/session/reader.h"
#include "core/session/start.h"
#include "core/session/throw_fields.h"

namespace moundwork::relate {
namespace {

const std::string& ball_speed_key() {
  static const std::string key(definitions::entry(definitions::Quantity::ball_speed).key);
  return key;
}

Result<std::vector<Quantity>> choose_quantities(const std::vector<AnalysedSession>& sessions,
                                                const std::vector<std::string>& keys) {
  std::set<std::string> wanted;
  for (const auto& key : keys) {
    if (!definitions::find_quantity(key))
      return fail("quantity", fmt::format("'{}' is not a quantity of a throw", key));
    if (key == ball_speed_key())
      return fail("quantity", "ball_speed is what the others are related to",
                  "name another quantity");
    if (!wanted.insert(key).second)
      return fail("quantity", fmt::format("'{}' is named twice", key),
                  "name it once, since every quantity counts as a test");
  }
  if (keys.empty())
    for (const auto& session : sessions)
      for (const auto& one : session.results.throws)
        for (const auto& value : one.quantities)
          if (value.measured.known() && value.key != ball_speed_key() &&
              definitions::find_quantity(value.key))
            wanted.insert(value.key);
  // In the catalogue's order, which follows the throw.
  std::vector<Quantity> quantities;
  for (std::size_t i = 0; i < definitions::quantity_count; ++i) {
    const auto& entry = definitions::entry(static_cast<definitions::Quantity>(i));
    if (wanted.contains(std::string(entry.key)))
      quantities.push_back({std::string(entry.key), std::string(entry.unit),
                            !keys.empty() || question_of(entry.key) != nullptr});
  }
  return quantities;
}

std::string athlete_of(const AnalysedSession& session) {
  return session::identity_of(session.athlete);
}

// Two people who were given one id are told apart by their dates of birth: what goes on within
// either is nothing of the other's.
class People {
 public:
  std::string label_of(const session::Athlete& athlete, std::vector<std::string>& notes) {
    const std::string& identity = session::identity_of(athlete);
    std::string& first = born_[identity];
    if (first.empty()) first = athlete.born;
    if (!session::births_differ(first, athlete.born)) return identity;
    if (noted_.insert(identity).second)
      notes.push_back(sentence(
          "{id} stands for two people, born on {first} and on {other}, who are kept apart here; "
          "give each an id of their own",
          "id"_is(identity), "first"_is(first), "other"_is(athlete.born)));
    return sentence("{id}, born {day}", "id"_is(identity), "day"_is(athlete.born));
  }

 private:
  std::map<std::string, std::string> born_;
  std::set<std::string> noted_;
};

// Day, or the whole time of the start where one athlete has two sessions on a day.
std::vector<std::string> labels_of(const std::vector<AnalysedSession>& sessions) {
  std::map<std::string, int> on_day;
  std::map<std::string, int> at_time;
  const auto day_of = [](const AnalysedSession& one) {
    return session::day_of(one.started, one.zone);
  };
  const auto time_of = [](const AnalysedSession& one) {
    return session::local_start(one.started, one.zone);
  };
  for (const auto& session : sessions) {
    ++on_day[athlete_of(session) + '\x1f' + day_of(session)];
    ++at_time[athlete_of(session) + '\x1f' + time_of(session)];
  }
  std::vector<std::string> labels;
  for (const auto& session : sessions) {
    const std::string athlete = athlete_of(session) + '\x1f';
    if (on_day[athlete + day_of(session)] == 1)
      labels.push_back(day_of(session));
    else if (at_time[athlete + time_of(session)] == 1)
      labels.push_back(time_of(session));
    else
      labels.push_back(session.id);
  }
  return labels;
}

std::vector<std::optional<session::DrawnCue>> drawn_of(const AnalysedSession& session) {
  std::vector<double> contacts;
  for (const auto& one : session.results.throws) contacts.push_back(seconds(one.contact));
  return session::drawn_cues(session.edits, contacts);
}

Pitch pitch_of(const session::ResultThrow& one, const std::vector<Quantity>& quantities) {
  Pitch pitch;
  pitch.number = one.number;
  pitch.quantities.resize(quantities.size());
  pitch.shared_u.assign(quantities.size() + 1, std::numeric_limits<double>::quiet_NaN());
  for (const auto& value : one.quantities) {
    const double shared = std::isfinite(value.shared_u) ? value.shared_u : value.measured.u;
    if (value.key == ball_speed_key()) {
      pitch.ball_speed = value.measured;
      pitch.shared_u[0] = shared;
    }
    for (std::size_t q = 0; q < quantities.size(); ++q)
      if (quantities[q].key == value.key) {
        pitch.quantities[q] = value.measured;
        pitch.shared_u[q + 1] = shared;
      }
  }
  return pitch;
}

struct Named {
  std::string athlete, label, day;
};

// Which of the sessions given repeat which, by their edits.
void add_retests(const std::vector<AnalysedSession>& sessions, const std::vector<Named>& named,
                 int change_days, Pitches& pitches) {
  int absent = 0;
  int far = 0;
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const auto of = session::retest_of(sessions[i].edits);
    if (!of) continue;
    const auto found = std::find_if(sessions.begin(), sessions.end(),
                                    [&](const AnalysedSession& one) { return one.id == *of; });
    if (found == sessions.end()) {
      ++absent;
      continue;
    }
    const Named& other = named[static_cast<std::size_t>(found - sessions.begin())];
    const auto apart = session::days_between(named[i].day, other.day);
    // An athlete's id may have been put right since.
    if (other.athlete != named[i].athlete || !apart || *apart > change_days)
      ++far;
    else
      pitches.retests.push_back({named[i].athlete, named[i].label, other.label});
  }
  if (absent > 0)
    pitches.notes.push_back(sentence_for(
        absent, "{count} named retest does not count, for the session it repeats was not given",
        "{count} named retests do not count, for the sessions they repeat were not given",
        "count"_is(absent)));
  if (far > 0)
    pitches.notes.push_back(sentence_for(
        far,
        "{count} named retest does not count, for it is more than {days} days from the session it "
        "repeats, or of another athlete now",
        "{count} named retests do not count, for they are more than {days} days from the sessions "
        "they repeat, or of another athlete now",
        "count"_is(far), "days"_is(change_days)));
}

}  // namespace

Result<AnalysedSession> read_analysed_session(const std::filesystem::path& path) {
  const auto reader = session::Reader::open(path);
  if (!reader) return tl::unexpected(reader.error());
  const auto settled = pitch::settle_companion(*reader);
  if (!settled) return tl::unexpected(settled.error());
  if (*settled) return fail(path.string(), "has not been analysed: " + **settled);
  auto results = session::read_results(path);
  if (!results) return tl::unexpected(results.error());
  if (results->made.empty()) return fail(path.string(), "has not been analysed", Remedy::measure);
  auto edits = session::read_edits(path);
  if (!edits) return tl::unexpected(edits.error());
  const auto& session = reader->session();
  return AnalysedSession{path.filename().string(),
                         session.id,
                         session.started,
                         session.athlete,
                         std::move(*results),
                         std::move(*edits),
                         reader->as_recorded().athlete,
                         session.zone};
}

Result<Pitches> pitches_from_sessions(std::vector<AnalysedSession> sessions,
                                      const std::vector<std::string>& keys, int change_days) {
  auto quantities = choose_quantities(sessions, keys);
  if (!quantities) return tl::unexpected(quantities.error());
  std::map<std::string, std::string> seen;
  for (const auto& session : sessions)
    if (const auto [first, fresh] = seen.emplace(session.id, session.file); !fresh)
      return fail(session.file, fmt::format("is the same session as {}", first->second),
                  "give each session once");
  std::stable_sort(sessions.begin(), sessions.end(),
                   [](const auto& a, const auto& b) { return a.started < b.started; });
  const auto labels = labels_of(sessions);

  Pitches pitches;
  pitches.quantities = std::move(*quantities);
  pitches.mass_unit = "kg";
  pitches.height_unit = "m";
  People people;
  std::vector<Named> named;
  int excluded = 0;
  int warm_ups = 0;
  int stale = 0;
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const auto& session = sessions[i];
    const bool current = session::facts_in(session.results, session.edits);
    const std::string athlete = people.label_of(session.athlete, pitches.notes);
    named.push_back({athlete, labels[i], session::day_of(session.started, session.zone)});
    const auto drawn = drawn_of(session);
    for (std::size_t t = 0; t < session.results.throws.size(); ++t) {
      const auto& one = session.results.throws[t];
      const session::EditState state = session::state_of(session.edits, seconds(one.contact));
      if (state.excluded) {
        ++excluded;
        continue;
      }
      session::ThrowFields fields = session::fields_of(state.tags);
      if (fields.warm_up) {
        ++warm_ups;
        continue;
      }
      if (!current || !session::moves_in(one, state)) ++stale;
      Pitch pitch = pitch_of(one, pitches.quantities);
      pitch.athlete = athlete;
      pitch.session = labels[i];
      pitch.cue = state.tag("cue");
      pitch.drawn = drawn[t];
      pitch.block = std::move(fields.block);
      pitch.pitch_type = std::move(fields.pitch_type);
      pitch.delivery = std::move(fields.delivery);
      if (fields.ball_mass != session::usual_ball_mass)
        pitch.ball = fmt::format("{:.4f}", fields.ball_mass);
      pitch.effort = fields.effort;
      pitch.mass = session.athlete.mass.value;
      pitch.height = session.athlete.height.value;
      if (const auto age =
              age_at(session.athlete.born, session::day_of(session.started, session.zone)))
        pitch.age = *age;
      pitches.rows.push_back(std::move(pitch));
    }
  }
  add_retests(sessions, named, change_days, pitches);
  if (excluded > 0)
    pitches.notes.push_back(sentence_for(excluded, "{count} throw left out as excluded by hand",
                                         "{count} throws left out as excluded by hand",
                                         "count"_is(excluded)));
  if (warm_ups > 0)
    pitches.notes.push_back(sentence_for(warm_ups, "{count} throw left out as a warm-up",
                                         "{count} throws left out as warm-ups",
                                         "count"_is(warm_ups)));
  if (stale > 0)
    pitches.notes.push_back(sentence_for(
        stale,
        "{count} throw was changed by hand since the last analysis; analyse the session again",
        "{count} throws were changed by hand since the last analysis; analyse the session again",
        "count"_is(stale)));
  return pitches;
}

}  // namespace moundwork::relate
