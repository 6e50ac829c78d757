// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/trend.h"

#include <cmath>

#include "core/base/sentence.h"
#include "core/relate/series.h"
#include "core/relate/words.h"
#include "core/stats/errors_in_variables.h"

namespace moundwork::relate {
namespace {

// Ten pitches are a step that a coach can picture; the slope a pitch has too many zeros.
constexpr double pitches_a_step = 10.0;

std::string say(const Trend& trend, const Settings& settings) {
  const auto& slope = trend.per_pitch;
  const auto name = "name"_is(capitalised(plain_name(trend.quantity)));
  if (!std::isfinite(slope.p))
    return sentence("{name}: too few numbered pitches for a trend over the session", name);
  const double change = pitches_a_step * slope.value;
  const double half_width = spoken(0.5 * pitches_a_step * (slope.high - slope.low));
  const auto limits = "limits"_is(interval(pitches_a_step * slope.low, pitches_a_step * slope.high,
                                           settings.level, half_width));
  const auto count = "count"_is(counted_pitches(trend.pitches));
  const auto size = "size"_is(difference_size(change, half_width, trend.quantity));
  if (slope.p > 1.0 - settings.level)
    return change > 0.0 ? sentence(
                              "{name}: no trend over the session shown; up {size} in 10 "
                              "pitches ({limits}, {count})",
                              name, size, limits, count)
                        : sentence(
                              "{name}: no trend over the session shown; down {size} in 10 "
                              "pitches ({limits}, {count})",
                              name, size, limits, count);
  return change > 0.0
             ? sentence("{name} rose over the session by {size} in 10 pitches ({limits}, {count})",
                        name, size, limits, count)
             : sentence("{name} fell over the session by {size} in 10 pitches ({limits}, {count})",
                        name, size, limits, count);
}

Trend trend_of(const Pitches& pitches, const Rows& numbered, const stats::Groups& all_sessions,
               int index, const Settings& settings) {
  Trend trend;
  trend.quantity = quantity_of(pitches, index);
  const Rows rows = rows_with(pitches, numbered, index);
  const bool all = rows.size() == numbered.size();
  const stats::Groups own = all ? stats::Groups{} : by_session(pitches, rows);
  const stats::Groups& sessions = all ? all_sessions : own;
  trend.pitches = static_cast<int>(rows.size());
  trend.sessions = sessions.count;
  const Eigen::VectorXd order = stats::within_groups(numbers(pitches, rows), sessions);
  // Pitch numbers are whole, so anything less is what rounding left of numbers that are all alike.
  if (order.size() > 0 && order.cwiseAbs().maxCoeff() > 1e-6)
    trend.per_pitch =
        stats::errors_in_x(order, stats::within_groups(values(pitches, rows, index), sessions),
                           static_cast<double>(trend.pitches - trend.sessions), 0.0, settings.level)
            .plain;
  trend.says = say(trend, settings);
  return trend;
}

}  // namespace

std::vector<Trend> trends(const Pitches& pitches, const Settings& settings) {
  Rows numbered;
  for (const int row : rows_of_athletes(pitches))
    if (std::isfinite(pitches.rows[static_cast<std::size_t>(row)].number)) numbered.push_back(row);
  std::vector<Trend> all;
  if (numbered.empty()) return all;
  const auto sessions = by_session(pitches, numbered);
  for (int index = -1; index < static_cast<int>(pitches.quantities.size()); ++index) {
    auto trend = trend_of(pitches, numbered, sessions, index, settings);
    // What does not change within a session, such as height, has no trend to speak of.
    if (trend.per_pitch.u != 0.0) all.push_back(std::move(trend));
  }
  return all;
}

}  // namespace moundwork::relate
