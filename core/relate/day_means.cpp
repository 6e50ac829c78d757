// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/day_means.h"

#include <algorithm>
#include <cmath>

#include "core/stats/descriptive.h"

namespace moundwork::relate {

Days::Days(const Pitches& pitches) : pitches_(pitches) {
  for (const int row : rows_of_athletes(pitches)) {
    const Pitch& pitch = pitches.rows[static_cast<std::size_t>(row)];
    auto& sessions = sessions_[pitch.athlete];
    if (sessions.empty()) athletes_.push_back(pitch.athlete);
    Day& day = days_[{pitch.athlete, pitch.session}];
    if (day.rows.empty()) sessions.push_back(pitch.session);
    day.rows.push_back(row);
    ++day.types[pitch.pitch_type];
  }
}

const std::vector<std::string>& Days::sessions(const std::string& athlete) const {
  static const std::vector<std::string> none;
  const auto found = sessions_.find(athlete);
  return found == sessions_.end() ? none : found->second;
}

const Days::Day& Days::day(const std::string& athlete, const std::string& session) const {
  static const Day none;
  const auto found = days_.find({athlete, session});
  return found == days_.end() ? none : found->second;
}

const std::map<std::string, int>& Days::types(const std::string& athlete,
                                              const std::string& session) const {
  return day(athlete, session).types;
}

Comparable Days::comparable(const std::string& athlete, const std::string& from,
                            const std::string& to) const {
  const auto& before = types(athlete, from);
  const auto& after = types(athlete, to);
  const auto typed = [](const std::map<std::string, int>& types) {
    return types.size() > (types.contains("") ? 1U : 0U);
  };
  if (!typed(before) && !typed(after)) return {{std::nullopt}, 0};
  Comparable result;
  for (const auto& [type, count] : before)
    if (!type.empty() && after.contains(type)) result.each.emplace_back(type);
  if (result.each.empty()) return result;
  for (const auto* types : {&before, &after})
    if (const auto untyped = types->find(""); untyped != types->end())
      result.untyped += untyped->second;
  return result;
}

OnlyType Days::most_in_common(const std::string& athlete, const std::string& from,
                              const std::string& to, const Comparable& comparable) const {
  const auto& before = types(athlete, from);
  const auto& after = types(athlete, to);
  const auto fewer = [&](const OnlyType& type) {
    return type ? std::min(before.at(*type), after.at(*type)) : 0;
  };
  return *std::max_element(
      comparable.each.begin(), comparable.each.end(),
      [&](const OnlyType& a, const OnlyType& b) { return fewer(a) < fewer(b); });
}

DayMean Days::mean(const std::string& athlete, const std::string& session, const OnlyType& type,
                   int index) const {
  Rows rows;
  double squares = 0.0;
  bool shared_known = true;
  for (const int row : day(athlete, session).rows) {
    const Pitch& pitch = pitches_.rows[static_cast<std::size_t>(row)];
    if ((type && pitch.pitch_type != *type) || !value_of(pitch, index).known()) continue;
    rows.push_back(row);
    const double shared = pitch.shared_u.empty()
                              ? std::numeric_limits<double>::quiet_NaN()
                              : pitch.shared_u.at(static_cast<std::size_t>(index + 1));
    shared_known = shared_known && std::isfinite(shared);
    if (shared_known) squares += shared * shared;
  }
  if (rows.empty()) return {};
  const Eigen::VectorXd y = values(pitches_, rows, index);
  DayMean result{static_cast<int>(y.size()), y.mean(), stats::standard_deviation(y)};
  if (shared_known) result.shared_u = std::sqrt(squares / result.throws);
  return result;
}

double Days::of_athlete(const std::string& athlete, const std::string& session,
                        double Pitch::*member) const {
  double sum = 0.0;
  int known = 0;
  for (const int row : day(athlete, session).rows)
    if (const double value = pitches_.rows[static_cast<std::size_t>(row)].*member;
        std::isfinite(value)) {
      sum += value;
      ++known;
    }
  return known > 0 ? sum / known : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace moundwork::relate
