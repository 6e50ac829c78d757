// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

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

std::string source_words(const Change& change, const Repeatability& repeat) {
  switch (change.source) {
    case LimitSource::given:
      return fmt::format(
          "typical error {} as given",
          with_unit(change.typical_error, change.typical_error, change.quantity.unit));
    case LimitSource::retest:
      return fmt::format(
          "typical error {} from {} measured again",
          with_unit(change.typical_error, change.typical_error, change.quantity.unit),
          count_of(repeat.retested, "athlete", "athletes"));
    case LimitSource::few_pitches:
      return "from the scatter of so few pitches, which is more than the typical error";
    case LimitSource::pitches:
      return "from the scatter of pitches alone; days may differ by more";
    case LimitSource::none:
      return {};
  }
  return {};
}

std::string say(const Change& change, const Repeatability& repeat) {
  const std::string head = fmt::format("{}, {}", change.athlete, plain_name(change.quantity));
  const std::string& unit = change.quantity.unit;
  if (change.pitches_from == 0 || change.pitches_to == 0)
    return fmt::format("{}: cannot tell, for one of the two sessions has no value.", head);
  if (!std::isfinite(change.limit))
    return fmt::format(
        "{}: {} to {}; cannot tell whether that is real from {} and {} without a "
        "typical error; two pitches in each session, or a retest of five athletes, "
        "would do.",
        head, with_unit(change.mean_from, std::abs(change.mean_from) / 100.0, unit),
        with_unit(change.mean_to, std::abs(change.mean_to) / 100.0, unit),
        count_of(change.pitches_from, "pitch", "pitches"),
        count_of(change.pitches_to, "pitch", "pitches"));
  const auto amount = [&](double value) { return with_unit(value, spoken(change.limit), unit); };
  const std::string size = amount(std::abs(change.difference));
  const bool none = size.find_first_of("123456789") == std::string::npos;
  return fmt::format("{}: {} to {}, {}{}; {} (limit {}, {}).", head, amount(change.mean_from),
                     amount(change.mean_to), none ? "no difference" : size,
                     none ? "" : (change.difference < 0.0 ? " less" : " more"),
                     change.real ? "a real change" : "within what repeating explains",
                     amount(change.limit), source_words(change, repeat));
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
    if (!known)
      return fail("--typical-error", fmt::format("'{}' is not one of the quantities", key));
    if (!(given.second > 0.0) || !std::isfinite(given.second))
      return fail("--typical-error",
                  fmt::format("the typical error of '{}' must be above zero", key));
  }
  const auto repeats = repeatability(pitches, settings);
  const Rows usable = usable_rows(pitches);
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
      change.says = say(change, repeat);
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
