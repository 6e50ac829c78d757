// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/cue.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/sentence.h"
#include "core/relate/series.h"
#include "core/relate/words.h"
#include "core/stats/distributions.h"
#include "core/stats/multiplicity.h"

namespace moundwork::relate {
namespace {

struct Tagged {
  Rows rows;
  std::vector<bool> marked;
};

// Rows with the cue or with none; other cues belong to neither side.
Tagged tagged_rows(const Pitches& pitches, const std::string& cue, const Rows& rows) {
  Tagged tagged;
  for (const int row : rows) {
    const auto& own = pitches.rows[static_cast<std::size_t>(row)].cue;
    const bool marked = !own.empty() && (cue.empty() || own == cue);
    if (!marked && !own.empty()) continue;
    tagged.rows.push_back(row);
    tagged.marked.push_back(marked);
  }
  return tagged;
}

// Zero, not rounding, when nothing changes within a stratum.
double spread_within(const Eigen::VectorXd& y, const stats::Groups& strata) {
  const double df = static_cast<double>(y.size() - strata.count);
  if (!(df > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  const Eigen::VectorXd within = stats::within_groups(y, strata);
  const bool constant = within.cwiseAbs().maxCoeff() <= 1e-12 * y.cwiseAbs().maxCoeff();
  return constant ? 0.0 : within.norm() / std::sqrt(df);
}

// Pitches a side for a difference of half a standard deviation (Cohen's medium size) by the normal
// approximation 2 ((z(1 - alpha/2) + z(power)) / 0.5)^2.
constexpr double medium_difference = 0.5;

double needed_a_side(const Settings& settings) {
  const auto power = settings.power_setting();
  const double reach =
      (stats::normal_quantile(1.0 - 0.5 * power.alpha) + stats::normal_quantile(power.power)) /
      medium_difference;
  return std::ceil(2.0 * reach * reach);
}

std::string say(const CueEffect& effect, const CueReport& report, double spread,
                const Settings& settings) {
  const auto& d = effect.difference;
  const auto name = "name"_is(plain_name(effect.quantity));
  const auto cue =
      "cue"_is(report.cue == "any" ? sentence("a cue")
                                   : sentence("the cue \"{cue}\"", "cue"_is(report.cue)));
  if (spread == 0.0)
    return sentence(
        "With {cue}, nothing can be told about {name}: it does not change within a block.", cue,
        name);
  if (effect.verdict == Verdict::undefined)
    return sentence(
        "With {cue}, nothing can be told about {name}: no block has pitches both with it and "
        "without.",
        cue, name);
  const bool bounded = std::isfinite(d.low) && std::isfinite(d.high);
  const double resolution = spoken(bounded ? 0.5 * (d.high - d.low) : std::abs(d.effect));
  const auto limits = "limits"_is(bounded ? interval(d.low, d.high, settings.level, resolution)
                                          : sentence("so few pitches set no {level} interval",
                                                     "level"_is(percent(settings.level))));
  const auto difference = "difference"_is(difference_words(d.effect, resolution, effect.quantity));
  const auto count = "count"_is(sentence_for(d.marked, "{with} pitch with it, {without} without",
                                             "{with} pitches with it, {without} without",
                                             "with"_is(d.marked), "without"_is(d.others)));
  switch (effect.verdict) {
    case Verdict::shown:
      return sentence("With {cue}, {name} was {difference} ({limits}, {count}).", cue, name,
                      difference, limits, count);
    case Verdict::little:
      return sentence("With {cue}, {name} hardly differed: {difference} ({limits}, {count}).", cue,
                      name, difference, limits, count);
    default:
      break;
  }
  const double needed = needed_a_side(settings);
  if (std::min(d.marked, d.others) >= needed)
    return sentence(
        "With {cue}, cannot tell whether {name} differs: {difference} ({limits}, "
        "{count}).",
        cue, name, difference, limits, count);
  return sentence(
      "With {cue}, cannot tell whether {name} differs: {difference} ({limits}, {count}); about "
      "{needed} pitches of each kind would do for a difference of {worth}.",
      cue, name, difference, limits, count, "needed"_is(plain_text(needed, 0)),
      "worth"_is(difference_size(medium_difference * spread, medium_difference * spread,
                                 effect.quantity)));
}

Verdict judge(const CueEffect& effect, double spread, const Settings& settings) {
  const auto& d = effect.difference;
  if (!std::isfinite(d.effect) || spread == 0.0) return Verdict::undefined;
  if (effect.adjusted_p <= settings.false_discovery) return Verdict::shown;
  const double worth = medium_difference * spread;
  return d.low > -worth && d.high < worth ? Verdict::little : Verdict::cannot_tell;
}

// A cue given only late in a block cannot be told from what a session does by itself.
void note_order(CueReport& report, const Pitches& pitches, const Tagged& tagged) {
  const auto strata = by_block(pitches, tagged.rows);
  const Eigen::VectorXd number = numbers(pitches, tagged.rows);
  if (!number.allFinite()) {
    report.notes.push_back(
        "without pitch numbers, a drift over the session cannot be told from the cue");
    return;
  }
  int both = 0;
  int apart = 0;
  for (int stratum = 0; stratum < strata.count; ++stratum) {
    double marked_low = std::numeric_limits<double>::infinity();
    double marked_high = -marked_low;
    double other_low = marked_low;
    double other_high = -marked_low;
    for (std::size_t i = 0; i < tagged.rows.size(); ++i) {
      if (strata.of_row[i] != stratum) continue;
      const double n = number[static_cast<Eigen::Index>(i)];
      auto& low = tagged.marked[i] ? marked_low : other_low;
      auto& high = tagged.marked[i] ? marked_high : other_high;
      low = std::min(low, n);
      high = std::max(high, n);
    }
    if (marked_high < marked_low || other_high < other_low) continue;
    ++both;
    apart += marked_low > other_high || other_low > marked_high ? 1 : 0;
  }
  if (both > 0 && apart == both)
    report.notes.push_back(
        "in every block the pitches with the cue came all before or all after the others, so a "
        "drift over the session cannot be told from the cue; alternate them");
}

Result<std::vector<int>> target_indices(const Pitches& pitches,
                                        const std::vector<std::string>& targets) {
  std::vector<int> indices{-1};
  if (targets.empty())
    for (int i = 0; i < static_cast<int>(pitches.quantities.size()); ++i) indices.push_back(i);
  for (const auto& target : targets) {
    const auto found = std::find_if(pitches.quantities.begin(), pitches.quantities.end(),
                                    [&](const Quantity& q) { return q.key == target; });
    if (found == pitches.quantities.end())
      return fail("target of the cue", fmt::format("'{}' is not one of the quantities", target),
                  "name it among the quantities too");
    indices.push_back(static_cast<int>(found - pitches.quantities.begin()));
  }
  return indices;
}

}  // namespace

Result<CueReport> test_cue(const Pitches& pitches, const std::string& cue,
                           const std::vector<std::string>& targets, const Settings& settings) {
  const auto indices = target_indices(pitches, targets);
  if (!indices) return tl::unexpected(indices.error());
  const Tagged all = tagged_rows(pitches, cue, rows_of_athletes(pitches));
  const auto with = std::count(all.marked.begin(), all.marked.end(), true);
  if (with == 0)
    return fail("cue test",
                cue.empty() ? "no pitch has a cue" : fmt::format("no pitch has the cue '{}'", cue));
  if (with == static_cast<std::ptrdiff_t>(all.marked.size()))
    return fail("cue test", "every pitch has a cue, so there is nothing to compare with",
                "record pitches without it in the same block");

  CueReport report;
  report.cue = cue.empty() ? "any" : cue;
  note_order(report, pitches, all);
  std::vector<double> spreads;
  std::vector<double> p;
  for (const int index : *indices) {
    CueEffect effect;
    effect.quantity = quantity_of(pitches, index);
    const Tagged tagged =
        tagged_rows(pitches, cue, rows_with(pitches, rows_of_athletes(pitches), index));
    const auto strata = by_block(pitches, tagged.rows);
    const Eigen::VectorXd y = values(pitches, tagged.rows, index);
    effect.difference =
        stats::stratified_effect(y, tagged.marked, strata, settings.level, settings.permutation);
    spreads.push_back(spread_within(y, strata));
    p.push_back(effect.difference.p);
    report.effects.push_back(std::move(effect));
  }
  const auto adjusted = stats::benjamini_hochberg(p);
  for (std::size_t i = 0; i < report.effects.size(); ++i) {
    auto& effect = report.effects[i];
    effect.adjusted_p = adjusted[i];
    report.tests += std::isnan(adjusted[i]) ? 0 : 1;
    effect.verdict = judge(effect, spreads[i], settings);
    effect.says = say(effect, report, spreads[i], settings);
  }
  const int left_out = report.effects.front().difference.left_out;
  if (left_out > 0)
    report.notes.push_back(fmt::format("{} in blocks with one kind only are left out",
                                       count_of(left_out, "pitch", "pitches")));
  return report;
}

}  // namespace moundwork::relate
