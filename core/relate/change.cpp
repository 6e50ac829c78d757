// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/change.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/sentence.h"
#include "core/relate/change_limit.h"
#include "core/relate/day_means.h"
#include "core/relate/growth.h"
#include "core/relate/retests.h"
#include "core/relate/words.h"

namespace moundwork::relate {
namespace {

std::string_view parts_of_limit(const LimitParts& parts) {
  const bool days = parts.days.athletes >= least_retested;
  if (!(parts.scatter > 0.0)) return "days";
  if (parts.measured > 0.0) return days ? "scatter, measurement and days" : "scatter, measurement";
  return days ? "scatter and days" : "scatter";
}

void set_limit(Change& change, const DayMean& from, const DayMean& to, const Retests& retests,
               const ChangeRequest& request, const Settings& settings) {
  LimitParts parts = scatter_of(from.sd, from.throws, to.sd, to.throws);
  const double measured = from.shared_u * from.shared_u + to.shared_u * to.shared_u;
  change.measurement_known = std::isfinite(measured);
  if (change.measurement_known) parts.measured = measured;
  const int index = change.index;
  if (const auto given = request.typical_errors.find(change.quantity.key);
      given != request.typical_errors.end()) {
    change.typical_error = given->second;
    const double own = limit_of(parts, settings.level, change.looked_at);
    change.limit =
        std::sqrt(2.0) * given->second *
        beyond_chance(settings.level, std::numeric_limits<double>::infinity(), change.looked_at);
    change.source = own > change.limit ? LimitSource::few_pitches : LimitSource::given;
    change.limit_of = own > change.limit ? parts_of_limit(parts) : "given";
    if (own > change.limit) change.limit = own;
    return;
  }
  const OnlyType type =
      change.pitch_type.empty() ? OnlyType(std::nullopt) : OnlyType(change.pitch_type);
  parts.days = retests.of_others(change.athlete, index, type, !(parts.scatter > 0.0));
  change.limit = limit_of(parts, settings.level, change.looked_at);
  if (!std::isfinite(change.limit)) return;
  change.limit_of = parts_of_limit(parts);
  if (parts.days.athletes < least_retested) {
    change.source = LimitSource::pitches;
    return;
  }
  change.source = LimitSource::retest;
  change.typical_error = parts.days.typical_error();
  change.retested = parts.days.athletes;
}

ChangeWord word_of(const Change& change) {
  if (!std::isfinite(change.limit) || !std::isfinite(change.difference))
    return ChangeWord::cannot_tell;
  if (std::abs(change.difference) <= change.limit) return ChangeWord::within;
  return change.source == LimitSource::pitches ? ChangeWord::beyond_scatter
                                               : ChangeWord::beyond_days;
}

// What the limit rests on.
std::string source_words(const Change& change) {
  const auto error =
      "error"_is(amount(change.typical_error, change.typical_error, change.quantity));
  const auto athletes = "athletes"_is(counted_athletes(change.retested));
  switch (change.source) {
    case LimitSource::given:
      return sentence("typical error {error} as given", error);
    case LimitSource::retest:
      return change.measurement_known
                 ? sentence(
                       "from scatter, measurement and {athletes} measured again, typical error "
                       "from "
                       "day to day {error}",
                       athletes, error)
                 : sentence(
                       "from scatter and {athletes} measured again, typical error from day to day "
                       "{error}; an error of measurement that a day's throws share counts as far "
                       "as those show it",
                       athletes, error);
    case LimitSource::few_pitches:
      return sentence("from the scatter of so few pitches, which is more than the typical error");
    case LimitSource::pitches:
      return change.measurement_known
                 ? sentence("from scatter and measurement alone; days may differ by more")
                 : sentence(
                       "from the scatter of pitches alone; an error of measurement that a day's "
                       "throws share is not known, and days may differ by more");
    case LimitSource::none:
      break;
  }
  return {};
}

// The number, and of which type of pitch where types are told.
std::string name_of_change(const Change& change) {
  const std::string name = plain_name(change.quantity);
  if (change.pitch_type.empty()) return name;
  return sentence("{name} ({type} only)", "name"_is(name), "type"_is(change.pitch_type));
}

std::string say(const Change& change, const std::string& who) {
  const auto athlete = "athlete"_is(who);
  const auto name = "name"_is(name_of_change(change));
  if (change.pitches_from == 0 || change.pitches_to == 0)
    return sentence("{athlete}, {name}: cannot tell, for one of the two sessions has no value.",
                    athlete, name);
  const double resolution =
      std::isfinite(change.limit) ? spoken(change.limit) : std::abs(change.mean_from) / 100.0;
  const auto from = "from"_is(amount(change.mean_from, resolution, change.quantity));
  const auto to = "to"_is(amount(change.mean_to, resolution, change.quantity));
  if (!std::isfinite(change.limit))
    return sentence(
        "{athlete}, {name}: {from} to {to}; cannot tell whether that is a change from "
        "{pitches_from} and {pitches_to} without a typical error; two pitches in each session "
        "would do.",
        athlete, name, from, to, "pitches_from"_is(counted_pitches(change.pitches_from)),
        "pitches_to"_is(counted_pitches(change.pitches_to)));
  const auto difference =
      "difference"_is(difference_words(change.difference, resolution, change.quantity));
  const auto limit = "limit"_is(difference_size(change.limit, resolution, change.quantity));
  const auto source = "source"_is(source_words(change));
  switch (change.word) {
    case ChangeWord::beyond_days:
      return sentence(
          "{athlete}, {name}: {from} to {to}, {difference}; beyond what days differ by (limit "
          "{limit}, {source}).",
          athlete, name, from, to, difference, limit, source);
    case ChangeWord::beyond_scatter:
      return sentence(
          "{athlete}, {name}: {from} to {to}, {difference}; beyond scatter and measurement, which "
          "need not be a change (limit {limit}, {source}).",
          athlete, name, from, to, difference, limit, source);
    default:
      return sentence(
          "{athlete}, {name}: {from} to {to}, {difference}; within what repeating explains (limit "
          "{limit}, {source}).",
          athlete, name, from, to, difference, limit, source);
  }
}

std::string types_text(const std::map<std::string, int>& types) {
  std::string text;
  for (const auto& [type, count] : types)
    text += (text.empty() ? "" : ", ") + (type.empty() ? sentence("no type") : type);
  return text;
}

std::string not_alike_words(const Change& change, const Days& days, const std::string& who) {
  return sentence(
      "{athlete}, {name}: not judged, for throws of different types are not alike ({from}: "
      "{types_from}; {to}: {types_to}).",
      "athlete"_is(who), "name"_is(plain_name(change.quantity)), "from"_is(change.from),
      "types_from"_is(types_text(days.types(change.athlete, change.from))), "to"_is(change.to),
      "types_to"_is(types_text(days.types(change.athlete, change.to))));
}

struct Pair {
  std::string from;
  std::string to;
};

std::optional<Pair> sessions_to_compare(const Days& days, const std::string& athlete,
                                        const ChangeRequest& request) {
  const auto& sessions = days.sessions(athlete);
  const auto has = [&](const std::string& label) {
    return std::find(sessions.begin(), sessions.end(), label) != sessions.end();
  };
  if (sessions.size() < 2) return std::nullopt;
  const Pair pair{request.from.value_or(sessions.front()), request.to.value_or(sessions.back())};
  if (!has(pair.from) || !has(pair.to) || pair.from == pair.to) return std::nullopt;
  return pair;
}

// All numbers of an athlete, and the means of each; without a limit yet.
struct Compared {
  std::vector<Change> changes;
  std::vector<std::pair<DayMean, DayMean>> means;
  int untyped = 0;
};

Compared compare(const Pitches& pitches, const Days& days, const std::string& athlete,
                 const Pair& pair, bool main_type) {
  Compared all;
  Comparable comparable = days.comparable(athlete, pair.from, pair.to);
  if (main_type && comparable.each.size() > 1)
    comparable.each = {days.most_in_common(athlete, pair.from, pair.to, comparable)};
  all.untyped = comparable.untyped;
  const auto growth = growth_of(pitches, days, athlete, pair.from, pair.to);
  for (int index = -1; index < static_cast<int>(pitches.quantities.size()); ++index) {
    Change change;
    change.athlete = athlete;
    change.quantity = quantity_of(pitches, index);
    change.index = index;
    change.from = pair.from;
    change.to = pair.to;
    change.growth = growth;
    if (comparable.each.empty()) {
      change.word = ChangeWord::not_alike;
      change.says = not_alike_words(change, days, shown_name(pitches, athlete));
      all.changes.push_back(change);
      all.means.emplace_back();
    }
    for (const OnlyType& type : comparable.each) {
      const DayMean from = days.mean(athlete, pair.from, type, index);
      const DayMean to = days.mean(athlete, pair.to, type, index);
      change.pitch_type = type.value_or("");
      change.pitches_from = from.throws;
      change.pitches_to = to.throws;
      change.mean_from = from.mean;
      change.mean_to = to.mean;
      change.difference = to.mean - from.mean;
      all.changes.push_back(change);
      all.means.emplace_back(from, to);
    }
  }
  return all;
}

void judge(const Pitches& pitches, Compared& compared, const Retests& retests,
           const ChangeRequest& request, const Settings& settings) {
  const auto looked_at = static_cast<int>(
      std::count_if(compared.changes.begin(), compared.changes.end(),
                    [](const Change& change) { return std::isfinite(change.difference); }));
  for (std::size_t i = 0; i < compared.changes.size(); ++i) {
    Change& change = compared.changes[i];
    if (change.word == ChangeWord::not_alike) continue;
    change.looked_at = looked_at;
    const auto& [from, to] = compared.means[i];
    if (std::isfinite(change.difference)) set_limit(change, from, to, retests, request, settings);
    change.word = word_of(change);
    change.real = change.word == ChangeWord::beyond_days;
    change.says = say(change, shown_name(pitches, change.athlete));
  }
}

Result<void> check_given(const Pitches& pitches, const ChangeRequest& request) {
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
  return {};
}

}  // namespace

std::string_view name_of(ChangeWord word) {
  switch (word) {
    case ChangeWord::cannot_tell:
      return "cannot tell";
    case ChangeWord::not_alike:
      return "not judged";
    case ChangeWord::within:
      return "within the limit";
    case ChangeWord::beyond_scatter:
      return "beyond scatter and measurement";
    case ChangeWord::beyond_days:
      return "beyond what days differ by";
  }
  return {};
}

Result<ChangeReport> find_changes(const Pitches& pitches, const ChangeRequest& request,
                                  const Settings& settings) {
  if (auto checked = check_given(pitches, request); !checked)
    return tl::unexpected(checked.error());
  const Days days(pitches);
  const Retests retests(pitches, days);
  ChangeReport report;
  report.notes = pitches.notes;
  int without_pair = 0;
  int untyped = 0;
  int unlike = 0;
  for (const auto& athlete : days.athletes()) {
    if (!request.athletes.empty() && std::find(request.athletes.begin(), request.athletes.end(),
                                               athlete) == request.athletes.end())
      continue;
    const auto pair = sessions_to_compare(days, athlete, request);
    if (!pair) {
      ++without_pair;
      continue;
    }
    Compared compared = compare(pitches, days, athlete, *pair, request.main_type);
    judge(pitches, compared, retests, request, settings);
    untyped += compared.untyped;
    unlike += compared.changes.front().word == ChangeWord::not_alike ? 1 : 0;
    for (Change& change : compared.changes) {
      report.compared += std::isfinite(change.limit) ? 1 : 0;
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
  if (unlike > 0)
    report.notes.push_back(sentence_for(
        unlike,
        "{count} athlete is not judged, for the two sessions have no pitch type in common: tag the "
        "throws of both",
        "{count} athletes are not judged, for the two sessions have no pitch type in common: tag "
        "the throws of both",
        "count"_is(unlike)));
  if (untyped > 0)
    report.notes.push_back(sentence_for(
        untyped, "{count} throw without a pitch type is left out beside throws with one",
        "{count} throws without a pitch type are left out beside throws with one",
        "count"_is(untyped)));
  if (report.compared > 1)
    report.notes.push_back(sentence(
        "{count} differences were looked at; limits are set for all numbers of an athlete "
        "together, so that in {percent} of unchanged athletes one lies beyond its limit by luck "
        "alone",
        "count"_is(report.compared), "percent"_is(percent(1.0 - settings.level))));
  return report;
}

}  // namespace moundwork::relate
