// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/relate/equal_size.h"
#include "core/relate/pitches.h"
#include "core/relate/settings.h"
#include "core/relate/trend.h"
#include "core/relate/verdict.h"
#include "core/stats/correlation.h"
#include "core/stats/errors_in_variables.h"
#include "core/stats/mixed_model.h"
#include "core/stats/relation_bootstrap.h"

namespace moundwork::relate {

/// What is compared with what (core/relate/strata.h).
struct StrataCount {
  int n = 0;  ///< cells of two rows or more
  std::vector<std::string> by;
  int left_out = 0;  ///< rows alone in their cell
};

/// Wider limits for what was picked out because it stood out (core/relate/selected.h); NaN of what
/// was not.
struct Selected {
  double level = std::numeric_limits<double>::quiet_NaN();
  stats::Correlation correlation;
  stats::Estimate slope;
  bool strongest = false;  ///< of several tested
};

/// One quantity against ball speed. What cannot be computed is NaN or absent, and says so.
struct Relation {
  Quantity quantity;
  int pitches = 0;
  int athletes = 0;
  int left_out = 0;     ///< rows without this value, the ball speed or the athlete
  int tied_values = 0;  ///< of the quantity, which share a rank
  bool tested = true;
  StrataCount strata;

  stats::Correlation pearson;  ///< pools all pitches: with several athletes its p is not to be used
  stats::Correlation spearman;           ///< likewise
  stats::Correlation repeated_measures;  ///< within strata
  /// The same with a line along each session taken out of both, and with degrees of freedom for the
  /// likeness of neighbours; NaN without pitch numbers.
  stats::Correlation given_order;
  double likeness = 0.0;                ///< of neighbours, in both at once
  stats::Correlation between;           ///< of athlete means
  stats::Correlation between_for_mass;  ///< the same at equal mass; NaN without masses
  EqualSize equal_size;                 ///< what the verdict between athletes rests on
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

  double adjusted_p = std::numeric_limits<double>::quiet_NaN();          ///< of tested_within()
  double slope_adjusted_p = std::numeric_limits<double>::quiet_NaN();    ///< of slope_by_athlete
  double between_adjusted_p = std::numeric_limits<double>::quiet_NaN();  ///< of between
  double equal_size_adjusted_p = std::numeric_limits<double>::quiet_NaN();
  double with_curve_adjusted_p = std::numeric_limits<double>::quiet_NaN();
  Verdict within_verdict = Verdict::undefined;
  Verdict between_verdict = Verdict::undefined;
  Selected within_selected, between_selected;
  double within_spread = std::numeric_limits<double>::quiet_NaN();  ///< SD inside athletes
  double between_spread = std::numeric_limits<double>::quiet_NaN();
  std::string says;
  std::vector<std::string> notes;
};

/// What the verdict within athletes rests on: with the order taken out where it is known.
[[nodiscard]] const stats::Correlation& tested_within(const Relation& relation);
/// The slope that is said: of athletes at large each left out in turn, of these ones one line.
[[nodiscard]] const stats::Estimate& spoken_within(const Relation& relation);

struct Report {
  Quantity ball_speed;
  double ball_speed_u = std::numeric_limits<double>::quiet_NaN();  ///< root mean square
  int rows = 0;
  int rows_left_out = 0;  ///< without athlete or ball speed
  int athletes = 0;
  int tests_within = 0;  ///< how many p values the adjustment counted
  int tests_between = 0;
  bool has_mass = false;
  StrataCount strata;  ///< of all rows with a ball speed
  std::vector<Relation> relations;
  std::vector<Trend> trends;
  std::vector<std::string> notes;
};

[[nodiscard]] Report relate(const Pitches& pitches, const Settings& settings);

}  // namespace moundwork::relate
