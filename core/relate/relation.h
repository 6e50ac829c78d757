// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/relate/settings.h"
#include "core/relate/trend.h"
#include "core/relate/verdict.h"
#include "core/stats/correlation.h"
#include "core/stats/errors_in_variables.h"
#include "core/stats/mixed_model.h"
#include "core/stats/relation_bootstrap.h"

namespace moundwork::relate {

/// One quantity against ball speed. What cannot be computed is NaN or absent, and says so.
struct Relation {
  Quantity quantity;
  int pitches = 0;
  int athletes = 0;
  int left_out = 0;     ///< rows without this value, the ball speed or the athlete
  int tied_values = 0;  ///< of the quantity, which share a rank

  stats::Correlation pearson;  ///< pools all pitches: with several athletes its p is not to be used
  stats::Correlation spearman;  ///< likewise
  stats::Correlation repeated_measures;
  /// The same with the drift over the session taken out of both; NaN without pitch numbers.
  stats::Correlation given_order;
  stats::Correlation between;           ///< of athlete means
  stats::Correlation between_for_mass;  ///< the same at equal mass; NaN without masses
  std::optional<stats::WithinBetween> mixed_model;
  std::optional<stats::WithinBetween> mixed_model_for_mass;
  std::string no_mixed_model;              ///< why, when absent
  stats::RelationIntervals resampled;      ///< NaN when not resampled
  stats::Attenuation attenuation;          ///< within athletes; NaN without uncertainties
  stats::Attenuation attenuation_between;  ///< of athlete means
  /// Ball speed per unit inside athletes, with t interval: the mixed model's, or with one athlete
  /// that of plain regression.
  stats::Estimate within_slope;
  /// The same slope with an error that holds when athletes have slopes of their own: what is said
  /// of athletes at large rests on it. NaN with fewer than Settings::least_athletes_to_resample.
  stats::Estimate slope_by_athlete;

  double smallest_r = std::numeric_limits<double>::quiet_NaN();       ///< these pitches could show
  double smallest_slope = std::numeric_limits<double>::quiet_NaN();   ///< the same as a slope
  double pitches_needed = std::numeric_limits<double>::quiet_NaN();   ///< for Settings::worth
  double athletes_needed = std::numeric_limits<double>::quiet_NaN();  ///< likewise, between
  double neighbour_correlation = std::numeric_limits<double>::quiet_NaN();

  double adjusted_p = std::numeric_limits<double>::quiet_NaN();          ///< of repeated_measures
  double slope_adjusted_p = std::numeric_limits<double>::quiet_NaN();    ///< of slope_by_athlete
  double between_adjusted_p = std::numeric_limits<double>::quiet_NaN();  ///< of between
  Verdict within_verdict = Verdict::undefined;
  Verdict between_verdict = Verdict::undefined;
  double within_spread = std::numeric_limits<double>::quiet_NaN();  ///< SD inside athletes
  double between_spread = std::numeric_limits<double>::quiet_NaN();
  std::string says;
  std::vector<std::string> notes;
};

struct Report {
  Quantity ball_speed;
  double ball_speed_u = std::numeric_limits<double>::quiet_NaN();  ///< root mean square
  int rows = 0;
  int rows_left_out = 0;  ///< without athlete or ball speed
  int athletes = 0;
  int tests_within = 0;  ///< how many p values the adjustment counted
  int tests_between = 0;
  bool has_mass = false;
  std::vector<Relation> relations;
  std::vector<Trend> trends;
  std::vector<std::string> notes;
};

[[nodiscard]] Report relate(const Pitches& pitches, const Settings& settings);

}  // namespace moundwork::relate
