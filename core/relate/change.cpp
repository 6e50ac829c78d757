// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/sentence.h"
#include "core/relate/repeat.h"
#include "core/relate/series.h"
#include "core/relate/words.h"
#include "core/stats/descriptive.h"
#include "core/stats/distributions.h"

namespace moundwork::relate {
namespace {

constexpr double least_retest_df = 4.0;

struct Sample {
  int n = 0;
  double mean = std::numeric_limits<double>::quiet_NaN();
  double sd = std::numeric_limits<double>::quiet_NaN();
};

Sample sample_of(const Pitches& pitches, const Rows& rows, const std::string& athlete,
                 const std::string& session, int index) {
  Rows own;
  for (const int row : rows) {
    const auto& pitch = pitches.rows[static_cast<std::size_t>(row)];
    if (pitch.athlete == athlete && pitch.session == session) own.push_back(row);
  }
  if (own.empty()) return {};
  const Eigen::VectorXd y = values(pitches, own, index);
  return {static_cast<int>(y.size()), y.mean(), stats::standard_deviation(y)};
}

// Welch's interval of a difference of means, as a half width.
double scatter_limit(const Sample& a, const Sample& b, double level) {
  const double va = a.sd * a.sd / a.n;
  const double vb = b.sd * b.sd / b.n;
  if (!(va + vb > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  const double df = (va + vb) * (va + vb) / (va * va / (a.n - 1.0) + vb * vb / (b.n - 1.0));
  return stats::t_quantile(0.5 + 0.5 * level, df) * std::sqrt(va + vb);
}

void set_limit(Change& change, const Sample& from, const Sample& to, const Repeatability& repeat,
               const ChangeRequest& request, const Settings& settings) {
  const double tail = 0.5 + 0.5 * settings.level;
  double limit = std::numeric_limits<double>::quiet_NaN();
  if (const auto given = request.typical_errors.find(change.quantity.key);
      given != request.typical_errors.end()) {
    change.source = LimitSource::given;
    change.typical_error = given->second;
    limit = stats::normal_quantile(tail) * std::sqrt(2.0) * given->second;
  } else if (repeat.session_df >= least_retest_df && repeat.session_typical_error > 0.0) {
    change.source = LimitSource::retest;
    change.typical_error = repeat.session_typical_error;
    limit =
        stats::t_quantile(tail, repeat.session_df) * std::sqrt(2.0) * repeat.session_typical_error;
  }
  const double scatter = scatter_limit(from, to, settings.level);
  if (std::isfinite(scatter) && !(limit >= scatter)) {
    change.source = std::isfinite(limit) ? LimitSource::few_pitches : LimitSource::pitches;
    limit = scatter;
  }
  change.limit = limit;
}

// What the limit rests on.
std::string source_words(const Change& change, const Repeatability& repeat) {
  const auto error =
      "error"_is(amount(change.typical_error, change.typical_error, change.quantity));
  switch (change.source) {
    case LimitSource::given:
      return sentence("typical error {error} as given", error);
    case LimitSource::retest:
      return sentence("typical error {error} from {athletes} measured again", error,
                      "athletes"_is(counted_athletes(repeat.retested)));
    case LimitSource::few_pitches:
      return sentence("from the scatter of so few pitches, which is more than the typical error");
    case LimitSource::pitches:
      return sentence("from the scatter of pitches alone; days may differ by more");
    case LimitSource::none:
      break;
  }
  return {};
}

std::string say(const Change& change, const std::string& who, const Repeatability& repeat) {
  const auto athlete = "athlete"_is(who);
  const auto name = "name"_is(plain_name(change.quantity));
  if (change.pitches_from == 0 || change.pitches_to == 0)
    return sentence("{athlete}, {name}: cannot tell, for one of the two sessions has no value.",
                    athlete, name);
  if (!std::isfinite(change.limit))
    return sentence(
        "{athlete}, {name}: {from} to {to}; cannot tell whether that is real from {pitches_from} "
        "and {pitches_to} without a typical error; two pitches in each session, or a retest of "
        "five athletes, would do.",
        athlete, name,
        "from"_is(amount(change.mean_from, std::abs(change.mean_from) / 100.0, change.quantity)),
        "to"_is(amount(change.mean_to, std::abs(change.mean_to) / 100.0, change.quantity)),
        "pitches_from"_is(counted_pitches(change.pitches_from)),
        "pitches_to"_is(counted_pitches(change.pitches_to)));
  const double resolution = spoken(change.limit);
  const auto from = "from"_is(amount(change.mean_from, resolution, change.quantity));
  const auto to = "to"_is(amount(change.mean_to, resolution, change.quantity));
  const auto difference =
      "difference"_is(difference_words(change.difference, resolution, change.quantity));
  const auto limit = "limit"_is(difference_size(change.limit, resolution, change.quantity));
  const auto source = "source"_is(source_words(change, repeat));
  return change.real ? sentence(
                           "{athlete}, {name}: {from} to {to}, {difference}; a real change (limit "
                           "{limit}, {source}).",
                           athlete, name, from, to, difference, limit, source)
                     : sentence(
                           "{athlete}, {name}: {from} to {to}, {difference}; within what repeating "
                           "explains (limit {limit}, {source}).",
                           athlete, name, from, to, difference, limit, source);
}

struct Pair {
  std::string from;
  std::string to;
};

std::optional<Pair> sessions_to_compare(const Pitches& pitches, const std::string& athlete,
                                        const ChangeRequest& request) {
  const auto sessions = sessions_of(pitches, athlete);
  const auto has = [&](const std::string& label) {
    return std::find(sessions.begin(), sessions.end(), label) != sessions.end();
  };
  if (sessions.size() < 2) return std::nullopt;
  const Pair pair{request.from.value_or(sessions.front()), request.to.value_or(sessions.back())};
  if (!has(pair.from) || !has(pair.to) || pair.from == pair.to) return std::nullopt;
  return pair;
}

}  // namespace

Result<ChangeReport> find_changes(const Pitches& pitches, const ChangeRequest& request,
                                  const Settings& settings) {
  for (const auto& given : request.typical_errors) {
    const std::string& key = given.first;
    const bool known = key == pitches.ball_speed.key ||
                       std::any_of(pitches.quantities.begin(), pitches.quantities.end(),
                                   [&](const Quantity& q) { return q.key == key; });
    if (!known) return fail("typical error", fmt::format("'{}' is not one of the quantities", key));
    if (!(given.second > 0.0) || !std::isfinite(given.second))
      return fail("typical error",
                  fmt::format("the typical error of '{}' must be above zero", key));
  }
  const auto repeats = repeatability(pitches, settings);
  const Rows usable = rows_of_athletes(pitches);
  std::vector<std::string> athletes;
  for (const int row : usable) {
    const auto& athlete = pitches.rows[static_cast<std::size_t>(row)].athlete;
    if (std::find(athletes.begin(), athletes.end(), athlete) == athletes.end())
      athletes.push_back(athlete);
  }
  ChangeReport report;
  int without_pair = 0;
  for (const auto& athlete : athletes) {
    const auto pair = sessions_to_compare(pitches, athlete, request);
    if (!pair) {
      ++without_pair;
      continue;
    }
    for (int index = -1; index < static_cast<int>(pitches.quantities.size()); ++index) {
      const auto& repeat = repeats[static_cast<std::size_t>(index) + 1];
      const Rows rows = rows_with(pitches, usable, index);
      const Sample from = sample_of(pitches, rows, athlete, pair->from, index);
      const Sample to = sample_of(pitches, rows, athlete, pair->to, index);
      Change change;
      change.athlete = athlete;
      change.quantity = quantity_of(pitches, index);
      change.from = pair->from;
      change.to = pair->to;
      change.pitches_from = from.n;
      change.pitches_to = to.n;
      change.mean_from = from.mean;
      change.mean_to = to.mean;
      change.difference = to.mean - from.mean;
      if (std::isfinite(change.difference)) set_limit(change, from, to, repeat, request, settings);
      change.real = std::isfinite(change.limit) && std::abs(change.difference) > change.limit;
      report.compared += std::isfinite(change.limit) ? 1 : 0;
      change.says = say(change, shown_name(pitches, athlete), repeat);
      report.changes.push_back(std::move(change));
    }
  }
  if (report.changes.empty())
    return fail("change",
                request.from || request.to ? "no athlete has both sessions that were named"
                                           : "no athlete has two sessions",
                "give the sessions of one athlete on two days");
  if (without_pair > 0)
    report.notes.push_back(fmt::format("{} without the two sessions are left out",
                                       count_of(without_pair, "athlete", "athletes")));
  const double by_luck = (1.0 - settings.level) * report.compared;
  if (report.compared > 1)
    report.notes.push_back(
        fmt::format("{} differences were looked at; about {:.1f} of them would pass for real by "
                    "luck alone",
                    report.compared, by_luck));
  return report;
}

}  // namespace moundwork::relate
