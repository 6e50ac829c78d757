// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/repeat.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "core/base/sentence.h"
#include "core/relate/change_limit.h"
#include "core/relate/day_means.h"
#include "core/relate/series.h"
#include "core/relate/words.h"
#include "core/stats/descriptive.h"

namespace moundwork::relate {
namespace {

// Means of an athlete's sessions, in the order of `sessions_of`; those without a value are absent.
std::vector<std::vector<double>> session_means(const Pitches& pitches, const Rows& rows,
                                               int index) {
  std::vector<std::string> athletes;
  std::map<std::string, std::vector<std::string>> sessions;
  std::map<std::pair<std::string, std::string>, std::pair<double, int>> sums;
  for (const int row : rows) {
    const auto& pitch = pitches.rows[static_cast<std::size_t>(row)];
    if (!sessions.contains(pitch.athlete)) athletes.push_back(pitch.athlete);
    auto& own = sessions[pitch.athlete];
    if (std::find(own.begin(), own.end(), pitch.session) == own.end()) own.push_back(pitch.session);
    auto& sum = sums[{pitch.athlete, pitch.session}];
    sum.first += value_of(pitch, index).value;
    ++sum.second;
  }
  std::vector<std::vector<double>> means;
  for (const auto& athlete : athletes) {
    means.emplace_back();
    for (const auto& session : sessions[athlete]) {
      const auto& [sum, count] = sums[{athlete, session}];
      means.back().push_back(sum / count);
    }
  }
  return means;
}

// Of named retests, each athlete's first.
std::vector<std::vector<double>> retest_means(const Pitches& pitches, int index) {
  const Days days(pitches);
  std::set<std::string> taken;
  std::vector<std::vector<double>> means;
  for (const Retest& retest : pitches.retests) {
    const DayMean from = days.mean(retest.athlete, retest.of, std::nullopt, index);
    const DayMean to = days.mean(retest.athlete, retest.session, std::nullopt, index);
    if (from.throws > 0 && to.throws > 0 && taken.insert(retest.athlete).second)
      means.push_back({from.mean, to.mean});
  }
  return means;
}

void add_pitches(Repeatability& result, const Pitches& pitches, const Rows& rows, int index,
                 const Settings& settings) {
  std::map<std::string, std::string> first_session;
  for (const int row : rows) {
    const auto& pitch = pitches.rows[static_cast<std::size_t>(row)];
    first_session.emplace(pitch.athlete, pitch.session);
  }
  Rows first;
  for (const int row : rows) {
    const auto& pitch = pitches.rows[static_cast<std::size_t>(row)];
    if (pitch.session == first_session[pitch.athlete]) first.push_back(row);
  }
  const auto athletes = by_athlete(pitches, first);
  if (first.empty()) return;
  const Eigen::VectorXd y = values(pitches, first, index);
  result.athletes = static_cast<int>((stats::group_sizes(athletes).array() > 1.0).count());
  result.pitches = stats::repeated_pitch_icc(y, athletes, settings.level);
  // Unknown where the coefficient is: not 0.
  const double left = 1.0 - result.pitches.single.value;
  result.pitch_sem = stats::standard_deviation(y) * std::sqrt(left < 0.0 ? 0.0 : left);
  const auto df = static_cast<double>(y.size() - athletes.count);
  if (df > 0.0)
    result.pitch_mdc =
        beyond_chance(settings.level, df) * std::sqrt(2.0) * result.pitches.typical_error;
}

void add_sessions(Repeatability& result, const Pitches& pitches, const Rows& rows, int index,
                  const Settings& settings) {
  result.named = !pitches.retests.empty();
  auto means = result.named ? retest_means(pitches, index) : session_means(pitches, rows, index);
  std::erase_if(means, [](const auto& own) { return own.size() < 2; });
  result.retested = static_cast<int>(means.size());
  if (means.size() < 2) return;
  std::size_t sessions = means.front().size();
  for (const auto& own : means) sessions = std::min(sessions, own.size());
  Eigen::MatrixXd table(static_cast<Eigen::Index>(means.size()),
                        static_cast<Eigen::Index>(sessions));
  for (std::size_t i = 0; i < means.size(); ++i)
    for (std::size_t j = 0; j < sessions; ++j)
      table(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = means[i][j];
  result.sessions = static_cast<int>(sessions);
  result.session_icc = stats::intraclass_correlations(table, settings.level);
  if (sessions == 2) result.retest = stats::test_retest(table.col(0), table.col(1), settings.level);
  result.session_typical_error = std::sqrt(result.session_icc->residual_ms);
  result.session_df = static_cast<double>((means.size() - 1) * (sessions - 1));
  result.session_mdc = beyond_chance(settings.level, result.session_df) * std::sqrt(2.0) *
                       result.session_typical_error;
}

std::string say(const Repeatability& r, const Settings& settings) {
  const auto name = "name"_is(capitalised(plain_name(r.quantity)));
  const auto size = [&](double value) { return difference_size(value, value, r.quantity); };
  std::string text;
  if (!std::isfinite(r.pitches.typical_error)) {
    text = sentence(
        "{name}: cannot tell how it repeats; it takes two pitches of one athlete or more.", name);
  } else if (const auto error = "error"_is(size(r.pitches.typical_error));
             std::isfinite(r.pitches.single.low)) {
    text = sentence(
        "{name} repeats from pitch to pitch within {error} (typical error), ICC(1,1) {icc}, "
        "{level} "
        "interval {low} to {high}, {athletes}.",
        name, error, "icc"_is(plain_text(r.pitches.single.value, 2)),
        "level"_is(percent(settings.level)), "low"_is(plain_text(r.pitches.single.low, 2)),
        "high"_is(plain_text(r.pitches.single.high, 2)),
        "athletes"_is(counted_athletes(r.athletes)));
  } else {
    text =
        sentence("{name} repeats from pitch to pitch within {error} (typical error).", name, error);
  }
  if (!std::isfinite(r.session_mdc)) return text;
  const auto beyond = "size"_is(size(r.session_mdc));
  const auto athletes = "athletes"_is(counted_athletes(r.retested));
  return text + ' ' +
         (r.named
              ? sentence("Between sessions a difference of their means beyond {size} is more than "
                         "repeating explains ({athletes} retested).",
                         beyond, athletes)
              : sentence_for(
                    r.sessions,
                    "Between sessions a difference of their means beyond {size} is more than "
                    "between these ({sessions} session, {athletes} retested), which nobody named "
                    "as retests, so that training and growth count as well.",
                    "Between sessions a difference of their means beyond {size} is more than "
                    "between these ({sessions} sessions, {athletes} retested), which nobody named "
                    "as retests, so that training and growth count as well.",
                    beyond, "sessions"_is(r.sessions), athletes));
}

}  // namespace

std::vector<std::string> sessions_of(const Pitches& pitches, const std::string& athlete) {
  std::vector<std::string> sessions;
  for (const int row : rows_of_athletes(pitches)) {
    const auto& pitch = pitches.rows[static_cast<std::size_t>(row)];
    if (pitch.athlete == athlete &&
        std::find(sessions.begin(), sessions.end(), pitch.session) == sessions.end())
      sessions.push_back(pitch.session);
  }
  return sessions;
}

std::vector<Repeatability> repeatability(const Pitches& pitches, const Settings& settings) {
  std::vector<Repeatability> all;
  for (int index = -1; index < static_cast<int>(pitches.quantities.size()); ++index) {
    Repeatability result;
    result.quantity = quantity_of(pitches, index);
    const Rows rows = rows_with(pitches, rows_of_athletes(pitches), index);
    add_pitches(result, pitches, rows, index, settings);
    add_sessions(result, pitches, rows, index, settings);
    result.says = say(result, settings);
    all.push_back(std::move(result));
  }
  return all;
}

}  // namespace moundwork::relate
