// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/summary/against.h"

#include <algorithm>
#include <cmath>

#include "core/base/sentence.h"
#include "core/base/shown_number.h"
#include "core/relate/questions.h"
#include "core/relate/relation.h"
#include "core/relate/shown.h"
#include "core/relate/words.h"
#include "core/stats/power.h"
#include "core/summary/words.h"

namespace moundwork::summary {
namespace {

double strength(const relate::Relation& relation) {
  const double r = std::abs(relate::tested_within(relation).r);
  return std::isfinite(r) ? r : -1.0;
}

SpeedAgainst against_from(const relate::Relation& relation, const relate::Report& report,
                          const relate::Pitches& pitches) {
  const auto index = static_cast<std::size_t>(&relation - report.relations.data());
  SpeedAgainst against;
  against.quantity = relate::plain_name(relation.quantity);
  against.unit = relation.quantity.unit;
  against.speed_unit = report.ball_speed.unit;
  against.says = relation.says;
  against.tested = report.tests_within;
  for (const auto& row : pitches.rows) {
    if (!row.ball_speed.known() || !row.quantities[index].known()) continue;
    against.x.push_back(row.quantities[index].value);
    against.y.push_back(row.ball_speed.value);
  }
  const bool shown = relation.within_verdict == relate::Verdict::shown ||
                     relation.within_verdict == relate::Verdict::shown_here;
  if (shown && std::isfinite(relation.within_slope.value)) {
    double mean_x = 0.0;
    double mean_y = 0.0;
    const auto n = static_cast<double>(against.x.size());
    for (std::size_t i = 0; i < against.x.size(); ++i) {
      mean_x += against.x[i] / n;
      mean_y += against.y[i] / n;
    }
    const double slope = relation.within_slope.value;
    against.line = {mean_y - slope * mean_x, slope};
  }
  return against;
}

}  // namespace

void add_against(const Source& source, const Context& context, Summary& summary) {
  std::vector<std::string> keys;
  for (const relate::Question& question : relate::questions) keys.emplace_back(question.key);
  auto pitches = relate::pitches_from_sessions({source.analysed}, keys);
  if (!pitches) {
    summary.no_against = pitches.error().sentence();
    return;
  }
  const auto with_speed =
      std::count_if(pitches->rows.begin(), pitches->rows.end(),
                    [](const relate::Pitch& row) { return row.ball_speed.known(); });
  if (with_speed < 3) {
    const relate::Settings settings;
    summary.no_against =
        with_speed == 0
            ? sentence("No counted throw has a ball speed, so nothing can be set against it.")
            : sentence_for(
                  with_speed,
                  "Nothing can be told from {count} throw with a ball speed; about {needed} would "
                  "do for a correlation of {r}.",
                  "Nothing can be told from {count} throws with a ball speed; about {needed} would "
                  "do for a correlation of {r}.",
                  "count"_is(with_speed),
                  "needed"_is(plain_text(
                      stats::pairs_for_correlation(settings.worth, settings.power_setting()), 0)),
                  "r"_is(plain_text(settings.worth, 1)));
    return;
  }
  relate::show_units(*pitches, {context.speed_unit});
  const auto report = relate::relate(*pitches, relate::Settings{});
  const auto strongest =
      std::max_element(report.relations.begin(), report.relations.end(),
                       [](const auto& a, const auto& b) { return strength(a) < strength(b); });
  if (strongest == report.relations.end() || strength(*strongest) < 0.0) {
    summary.no_against =
        sentence("Nothing changes enough from throw to throw to be set against ball speed.");
    return;
  }
  summary.against = against_from(*strongest, report, *pitches);
}

}  // namespace moundwork::summary
