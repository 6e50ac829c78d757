// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/relation_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "core/base/sentence.h"
#include "core/relate/words.h"

namespace moundwork::relate {
namespace {

// Of whom a line speaks.
enum class Place { this_athlete, these_athletes, athletes, between };

struct Level {
  Place place;
  const stats::Correlation& correlation;
  const Selected& selected;
  double adjusted_p;
  int tests;
  double spread;
  double smallest_r;
  double needed;
  Verdict verdict;
};

std::string counted(const Relation& relation, Place place) {
  if (place == Place::between) return counted_athletes(relation.athletes);
  const std::string pitches = counted_pitches(relation.pitches);
  return relation.athletes == 1 ? pitches
                                : sentence("{pitches} of {athletes}", "pitches"_is(pitches),
                                           "athletes"_is(counted_athletes(relation.athletes)));
}

Place within_place(const Relation& relation) {
  if (relation.athletes == 1) return Place::this_athlete;
  return relation.within_verdict == Verdict::shown_here ? Place::these_athletes : Place::athletes;
}

// "mass, height and age".
std::string given_words(const std::vector<std::string>& given) {
  const auto is = [&](std::initializer_list<const char*> names) {
    return std::equal(given.begin(), given.end(), names.begin(), names.end());
  };
  if (is({"mass", "height", "age"})) return sentence("mass, height and age");
  if (is({"mass", "height"})) return sentence("mass and height");
  if (is({"mass", "age"})) return sentence("mass and age");
  if (is({"height", "age"})) return sentence("height and age");
  if (is({"height"})) return sentence("height");
  if (is({"age"})) return sentence("age");
  return sentence("mass");
}

// "Within athletes, pitches with 10 N s more braking impulse were 0.4 m/s faster (...)."
std::string slope_words(const Relation& relation, const Report& report, const Level& level,
                        const std::vector<std::string>& given) {
  const double step = round_step(level.spread);
  const stats::Estimate& slope = level.selected.slope;
  const bool faster = !(slope.value < 0.0);
  const double half_width = spoken(0.5 * step * (slope.high - slope.low));
  const double low = step * (faster ? slope.low : -slope.high);
  const double high = step * (faster ? slope.high : -slope.low);
  const auto what = "what"_is(more_of(step, relation.quantity));
  const auto size = "size"_is(amount(step * std::abs(slope.value), half_width, report.ball_speed));
  const auto limits = "limits"_is(interval(low, high, level.selected.level, half_width));
  const auto count = "count"_is(counted(relation, level.place));
  switch (level.place) {
    case Place::this_athlete:
      return faster ? sentence(
                          "Within this athlete, pitches with {what} were {size} faster ({limits}, "
                          "{count}).",
                          what, size, limits, count)
                    : sentence(
                          "Within this athlete, pitches with {what} were {size} slower ({limits}, "
                          "{count}).",
                          what, size, limits, count);
    case Place::these_athletes:
      return faster ? sentence(
                          "Within these athletes, pitches with {what} were {size} faster "
                          "({limits}, {count}).",
                          what, size, limits, count)
                    : sentence(
                          "Within these athletes, pitches with {what} were {size} slower "
                          "({limits}, {count}).",
                          what, size, limits, count);
    case Place::athletes:
      return faster ? sentence(
                          "Within athletes, pitches with {what} were {size} faster ({limits}, "
                          "{count}).",
                          what, size, limits, count)
                    : sentence(
                          "Within athletes, pitches with {what} were {size} slower ({limits}, "
                          "{count}).",
                          what, size, limits, count);
    case Place::between:
      return faster ? sentence(
                          "Between athletes of equal {given}, those with {what} threw {size} "
                          "faster ({limits}, {count}).",
                          "given"_is(given_words(given)), what, size, limits, count)
                    : sentence(
                          "Between athletes of equal {given}, those with {what} threw {size} "
                          "slower ({limits}, {count}).",
                          "given"_is(given_words(given)), what, size, limits, count);
  }
  throw std::logic_error("a level without words");
}

std::string r_words(const stats::Correlation& correlation, double level) {
  const auto r = "r"_is(plain_text(correlation.r, 2));
  if (!std::isfinite(correlation.low)) return sentence("r {r}", r);
  return sentence("r {r}, {level} interval {low} to {high}", r, "level"_is(percent(level)),
                  "low"_is(plain_text(correlation.low, 2)),
                  "high"_is(plain_text(correlation.high, 2)));
}

// What was picked out has limits of its own.
std::string r_words(const Level& level, const Settings& settings) {
  return std::isfinite(level.selected.level)
             ? r_words(level.selected.correlation, level.selected.level)
             : r_words(level.correlation, settings.level);
}

std::string together_words(const Relation& relation, const Level& level) {
  const auto name = "name"_is(plain_name(relation.quantity));
  const auto r = "r"_is(r_words(level.selected.correlation, level.selected.level));
  const auto count = "count"_is(counted(relation, level.place));
  switch (level.place) {
    case Place::this_athlete:
      return sentence("Within this athlete, {name} and ball speed go together ({r}, {count}).",
                      name, r, count);
    case Place::these_athletes:
      return sentence("Within these athletes, {name} and ball speed go together ({r}, {count}).",
                      name, r, count);
    case Place::athletes:
      return sentence("Within athletes, {name} and ball speed go together ({r}, {count}).", name, r,
                      count);
    case Place::between:
      return sentence("Between athletes, {name} and ball speed go together ({r}, {count}).", name,
                      r, count);
  }
  throw std::logic_error("a level without words");
}

std::string little_words(const Relation& relation, const Level& level, const Settings& settings) {
  const auto name = "name"_is(plain_name(relation.quantity));
  const auto r = "r"_is(r_words(level, settings));
  const auto count = "count"_is(counted(relation, level.place));
  if (level.place == Place::between)
    return sentence("Between athletes, {name} and ball speed hardly go together ({r}, {count}).",
                    name, r, count);
  return level.place == Place::this_athlete
             ? sentence(
                   "Within this athlete, {name} and ball speed hardly go together ({r}, "
                   "{count}).",
                   name, r, count)
             : sentence("Within athletes, {name} and ball speed hardly go together ({r}, {count}).",
                        name, r, count);
}

// "About 85 pitches would do for an r of 0.3."
std::string enough_words(const Level& level, double needed, double r) {
  const auto number = "number"_is(plain_text(needed, 0));
  // 0.3 is the reader's own setting and stands as it was set.
  const auto of = "r"_is(fmt::format("{:.2g}", std::abs(r)));
  if (level.place == Place::this_athlete)
    return sentence("About {number} pitches would do for an r of {r}.", number, of);
  return level.place == Place::between
             ? sentence("About {number} athletes would do for an r of {r}.", number, of)
             : sentence("About {number} pitches of these athletes would do for an r of {r}.",
                        number, of);
}

// Why it cannot be told, and how many would do.
std::vector<std::string> cannot_tell(const Relation& relation, const Level& level,
                                     const Settings& settings) {
  const auto name = "name"_is(plain_name(relation.quantity));
  const auto r = "r"_is(r_words(level, settings));
  const auto count = "count"_is(counted(relation, level.place));
  std::vector<std::string> says;
  if (level.place == Place::between)
    says.push_back(sentence(
        "Between athletes, cannot tell whether {name} goes with ball speed ({r}, {count}).", name,
        r, count));
  else
    says.push_back(
        level.place == Place::this_athlete
            ? sentence("Within this athlete, cannot tell whether {name} goes with ball speed ({r}, "
                       "{count}).",
                       name, r, count)
            : sentence("Within athletes, cannot tell whether {name} goes with ball speed ({r}, "
                       "{count}).",
                       name, r, count));
  if (level.place == Place::between && !relation.equal_size.why_not.empty()) {
    says.push_back(relation.equal_size.why_not);
    return says;
  }
  if (level.place == Place::between && level.adjusted_p <= settings.false_discovery) {
    says.push_back(sentence("It does not stand once growth is allowed to level off with age."));
    return says;
  }
  if (level.correlation.p <= settings.false_discovery &&
      level.adjusted_p > settings.false_discovery)
    says.push_back(sentence_for(
        level.tests, "With {tests} quantity tested, this is not beyond luck ({p}, adjusted {q}).",
        "With {tests} quantities tested, this is not beyond luck ({p}, adjusted {q}).",
        "tests"_is(level.tests), "p"_is(p_words(level.correlation.p)),
        "q"_is(p_words(level.adjusted_p))));
  const double have = level.place == Place::between ? relation.athletes : relation.pitches;
  if (have >= level.needed) {
    // Enough for one worth knowing, and still open: it takes as many as one of this size needs.
    const double pairs =
        stats::pairs_for_correlation(level.correlation.r, settings.power_setting());
    says.push_back(
        enough_words(level,
                     level.needed + pairs -
                         stats::pairs_for_correlation(settings.worth, settings.power_setting()),
                     level.correlation.r));
    return says;
  }
  if (std::isfinite(level.smallest_r))
    says.push_back(sentence(
        "So few can show only an r of {r} or more, and that where one quantity is looked at alone.",
        "r"_is(plain_text(level.smallest_r, 2))));
  says.push_back(enough_words(level, level.needed, settings.worth));
  return says;
}

// Whoever reads "faster" as advice is to know what it costs: Stodden et al. 2005 (J Appl Biomech
// 21:44), forces at elbow and shoulder within 19 pitchers.
std::string arm_words() { return sentence("Faster throws load the arm more."); }

// Whole sentences of one level; none where there is nothing to say.
std::vector<std::string> sentences(const Relation& relation, const Report& report,
                                   const Level& level, const Settings& settings) {
  switch (level.verdict) {
    case Verdict::shown:
    case Verdict::shown_here: {
      const stats::Estimate& slope = level.selected.slope;
      std::vector<std::string> says{
          slope.low * slope.high > 0.0
              ? slope_words(relation, report, level, relation.equal_size.given)
              : together_words(relation, level)};
      if (level.selected.strongest)
        says.push_back(sentence_for(level.tests,
                                    "It is the strongest of {tests} tested, so expect less of it.",
                                    "It is the strongest of {tests} tested, so expect less of it.",
                                    "tests"_is(level.tests)));
      if (slope.value > 0.0) says.push_back(arm_words());
      if (level.verdict == Verdict::shown_here)
        says.push_back(std::isfinite(relation.slope_by_athlete.p)
                           ? sentence("They differ so much that it may not hold for others.")
                           : sentence("So few athletes say little of others."));
      return says;
    }
    case Verdict::little:
      return {little_words(relation, level, settings)};
    case Verdict::cannot_tell:
      return cannot_tell(relation, level, settings);
    case Verdict::not_tested:
    case Verdict::undefined:
      break;
  }
  if (level.place == Place::between) return {};
  if (relation.athletes == relation.pitches)
    return {sentence("Within athletes, nothing can be told from one pitch each.")};
  return {
      sentence("Within athletes, nothing can be told: {name} or ball speed does not change "
               "there.",
               "name"_is(plain_name(relation.quantity)))};
}

}  // namespace

std::string say(const Relation& relation, const Report& report, const Settings& settings) {
  const auto name = "name"_is(plain_name(relation.quantity));
  const Place place = within_place(relation);
  if (relation.pitches == 0)
    return sentence("Cannot tell: no pitch has both {name} and ball speed.", name);
  if (!relation.tested)
    return sentence(
        "{name} answers none of the questions that are tested; name it to have it tested.",
        "name"_is(capitalised(plain_name(relation.quantity))));
  if (relation.within_verdict == Verdict::undefined &&
      relation.between_verdict == Verdict::undefined) {
    const auto count = "count"_is(counted(relation, place));
    if (std::isfinite(relation.pearson.r) || relation.pitches < 3)
      return sentence(
          "Cannot tell: {count} with {name} are too few to relate to ball speed; about {number} "
          "would do for an r of {r}.",
          count, name,
          "number"_is(plain_text(
              std::isfinite(relation.pitches_needed)
                  ? relation.pitches_needed
                  : stats::pairs_for_correlation(settings.worth, settings.power_setting()),
              0)),
          "r"_is(fmt::format("{:.2g}", settings.worth)));
    return sentence("Nothing to relate: {name} or ball speed does not change ({count}).", name,
                    count);
  }
  const Level within{place,
                     tested_within(relation),
                     relation.within_selected,
                     relation.adjusted_p,
                     report.tests_within,
                     relation.within_spread,
                     relation.smallest_r,
                     relation.pitches_needed,
                     relation.within_verdict};
  const Level between{Place::between,
                      std::isfinite(relation.equal_size.correlation.r)
                          ? relation.equal_size.correlation
                          : relation.between,
                      relation.between_selected,
                      relation.equal_size_adjusted_p,
                      report.tests_between,
                      relation.between_spread,
                      stats::smallest_detectable_correlation(
                          relation.equal_size.correlation.df + 2.0, settings.power_setting()),
                      relation.athletes_needed,
                      relation.between_verdict};
  std::vector<std::string> says = sentences(relation, report, within, settings);
  for (std::string& more : sentences(relation, report, between, settings))
    says.push_back(std::move(more));
  return fmt::format("{}", fmt::join(says, " "));
}

}  // namespace moundwork::relate
