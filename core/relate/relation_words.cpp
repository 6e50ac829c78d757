// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/relation_words.h"

#include <fmt/format.h>

#include <cmath>

#include "core/relate/words.h"

namespace moundwork::relate {
namespace {

struct Level {
  bool within = true;
  const stats::Correlation& correlation;
  const stats::Estimate& slope;
  double adjusted_p;
  int tests;
  double spread;
  double smallest_r;
  double needed;
  Verdict verdict;
};

std::string counted(const Relation& relation, bool within = true) {
  if (!within) return count_of(relation.athletes, "athlete", "athletes");
  const std::string pitches = count_of(relation.pitches, "pitch", "pitches");
  return relation.athletes == 1
             ? pitches
             : pitches + " of " + count_of(relation.athletes, "athlete", "athletes");
}

// What is said of athletes at large rests on leaving them out in turn; of these ones, on one line.
const stats::Estimate& spoken_slope(const Relation& relation) {
  return relation.within_verdict == Verdict::shown && relation.athletes > 1
             ? relation.slope_by_athlete
             : relation.within_slope;
}

std::string place(const Relation& relation, bool within) {
  if (!within) return "Between athletes";
  if (relation.athletes == 1) return "Within this athlete";
  return relation.within_verdict == Verdict::shown_here ? "Within these athletes"
                                                        : "Within athletes";
}

// "pitches with 10 N s more braking impulse were 0.4 m/s faster (...)".
std::string slope_words(const Relation& relation, const Report& report, const Level& level,
                        const Settings& settings) {
  const double step = round_step(level.spread);
  const double sign = level.slope.value < 0.0 ? -1.0 : 1.0;
  const double half_width = spoken(0.5 * step * (level.slope.high - level.slope.low));
  const double low = step * (sign > 0.0 ? level.slope.low : -level.slope.high);
  const double high = step * (sign > 0.0 ? level.slope.high : -level.slope.low);
  return fmt::format(
      "{} with {} more {} {} {} {} ({}, {})", level.within ? "pitches" : "athletes",
      step_with_unit(step, relation.quantity.unit), plain_name(relation.quantity),
      level.within ? "were" : "threw",
      with_unit(step * std::abs(level.slope.value), half_width, report.ball_speed.unit),
      sign > 0.0 ? "faster" : "slower", interval(low, high, settings.level, half_width),
      counted(relation, level.within));
}

std::string r_words(const stats::Correlation& correlation, const Settings& settings) {
  if (!std::isfinite(correlation.low)) return fmt::format("r {:.2f}", correlation.r);
  return fmt::format("r {:.2f}, {} interval {:.2f} to {:.2f}", correlation.r,
                     percent(settings.level), correlation.low, correlation.high);
}

// Why it cannot be told, and how many would do.
std::string cannot_tell(const Relation& relation, const Level& level, const Settings& settings) {
  const std::string head = fmt::format(
      "cannot tell whether {} goes with ball speed ({}, {})", plain_name(relation.quantity),
      r_words(level.correlation, settings), counted(relation, level.within));
  if (level.adjusted_p <= settings.false_discovery && std::isfinite(level.correlation.low))
    return head + "; it may be luck which athletes are here, for resampling them takes it away";
  std::string reason;
  if (level.correlation.p <= settings.false_discovery &&
      level.adjusted_p > settings.false_discovery)
    reason = fmt::format("; with {} tested, this is not beyond luck ({}, adjusted {})",
                         count_of(level.tests, "quantity", "quantities"),
                         p_words(level.correlation.p), p_words(level.adjusted_p));
  const std::string unit = level.within
                               ? (relation.athletes == 1 ? "pitches" : "pitches of these athletes")
                               : "athletes";
  const double have = level.within ? relation.pitches : relation.athletes;
  if (have >= level.needed) {
    // Enough for one worth knowing, and still open: it takes as many as one of this size needs.
    const double pairs =
        stats::pairs_for_correlation(level.correlation.r, settings.power_setting());
    return fmt::format("{}{}; about {:.0f} {} would do for an r of {:.2f}", head, reason,
                       level.needed + pairs -
                           stats::pairs_for_correlation(settings.worth, settings.power_setting()),
                       unit, std::abs(level.correlation.r));
  }
  std::string reach;
  if (std::isfinite(level.smallest_r))
    reach = fmt::format("so few can show only an r of {:.2f} or more, ", level.smallest_r);
  return fmt::format("{}{}; {}about {:.0f} {} would do for an r of {:.2g}", head, reason, reach,
                     level.needed, unit, settings.worth);
}

std::string sentence(const Relation& relation, const Report& report, const Level& level,
                     const Settings& settings) {
  std::string body;
  switch (level.verdict) {
    case Verdict::shown:
    case Verdict::shown_here:
      body =
          level.slope.low * level.slope.high > 0.0
              ? slope_words(relation, report, level, settings)
              : fmt::format("{} and ball speed go together ({}, {})", plain_name(relation.quantity),
                            r_words(level.correlation, settings), counted(relation, level.within));
      if (level.verdict == Verdict::shown_here)
        body += std::isfinite(relation.slope_by_athlete.p)
                    ? "; they differ so much that it may not hold for others"
                    : "; so few athletes say little of others";
      break;
    case Verdict::little:
      body = fmt::format("{} and ball speed hardly go together ({}, {})",
                         plain_name(relation.quantity), r_words(level.correlation, settings),
                         counted(relation, level.within));
      break;
    case Verdict::cannot_tell:
      body = cannot_tell(relation, level, settings);
      break;
    case Verdict::undefined:
      if (!level.within) return {};
      body = relation.athletes == relation.pitches
                 ? std::string("nothing can be told from one pitch each")
                 : fmt::format("nothing can be told: {} or ball speed does not change there",
                               plain_name(relation.quantity));
      break;
  }
  return place(relation, level.within) + ", " + body + ".";
}

}  // namespace

std::string say(const Relation& relation, const Report& report, const Settings& settings) {
  const std::string name = plain_name(relation.quantity);
  if (relation.pitches == 0)
    return fmt::format("Cannot tell: no pitch has both {} and ball speed.", name);
  if (relation.within_verdict == Verdict::undefined &&
      relation.between_verdict == Verdict::undefined) {
    if (std::isfinite(relation.pearson.r) || relation.pitches < 3)
      return fmt::format(
          "Cannot tell: {} with {} are too few to relate to ball speed; about {:.0f} "
          "would do for an r of {:.2g}.",
          counted(relation), name,
          std::isfinite(relation.pitches_needed)
              ? relation.pitches_needed
              : stats::pairs_for_correlation(settings.worth, settings.power_setting()),
          settings.worth);
    return fmt::format("Nothing to relate: {} or ball speed does not change ({}).", name,
                       counted(relation));
  }
  static const stats::Estimate none;
  const auto& model = relation.mixed_model;
  const Level within{true,
                     relation.repeated_measures,
                     spoken_slope(relation),
                     relation.adjusted_p,
                     report.tests_within,
                     relation.within_spread,
                     relation.smallest_r,
                     relation.pitches_needed,
                     relation.within_verdict};
  const Level between{
      false,
      relation.between,
      model ? model->between : none,
      relation.between_adjusted_p,
      report.tests_between,
      relation.between_spread,
      stats::smallest_detectable_correlation(relation.athletes, settings.power_setting()),
      relation.athletes_needed,
      relation.between_verdict};
  std::string text = sentence(relation, report, within, settings);
  const std::string second = sentence(relation, report, between, settings);
  if (!text.empty() && !second.empty()) text += " ";
  return text + second;
}

}  // namespace moundwork::relate
