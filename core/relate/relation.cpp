// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/relation.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <future>

#include "core/base/unknown.h"
#include "core/relate/relation_words.h"
#include "core/relate/selected.h"
#include "core/relate/series.h"
#include "core/relate/strata.h"
#include "core/relate/words.h"
#include "core/stats/descriptive.h"
#include "core/stats/distributions.h"
#include "core/stats/multiplicity.h"
#include "core/stats/regression.h"
#include "core/stats/slope_by_group.h"

namespace moundwork::relate {
namespace {

// Athlete means of a quantity, ball speed and mass, for the athletes that have all of `what`.
struct Means {
  Eigen::VectorXd x;
  Eigen::VectorXd y;
  Eigen::VectorXd mass;  // NaN where unknown
};

Eigen::VectorXd mean_masses(const Pitches& pitches, const Rows& rows,
                            const stats::Groups& athletes) {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(athletes.count);
  Eigen::VectorXd known = Eigen::VectorXd::Zero(athletes.count);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double mass = pitches.rows[static_cast<std::size_t>(rows[i])].mass;
    if (!std::isfinite(mass)) continue;
    sum[athletes.of_row[i]] += mass;
    known[athletes.of_row[i]] += 1.0;
  }
  // 0 / 0 where an athlete has none.
  return sum.cwiseQuotient(known);
}

std::vector<Eigen::Index> known_among(const Eigen::VectorXd& mass) {
  std::vector<Eigen::Index> known;
  for (Eigen::Index i = 0; i < mass.size(); ++i)
    if (std::isfinite(mass[i])) known.push_back(i);
  return known;
}

void add_mass(Relation& relation, const Means& means, const Settings& settings) {
  const auto known = known_among(means.mass);
  // Three points and a third number leave nothing free: r is then 1 or -1 whatever the athletes do.
  constexpr std::size_t least_free = 4;
  if (known.size() < least_free) return;
  if (known.size() < static_cast<std::size_t>(means.mass.size()))
    relation.notes.push_back(
        fmt::format("{} without a mass are left out of the correlation at equal mass",
                    count_of(static_cast<int>(means.mass.size()) - static_cast<int>(known.size()),
                             "athlete", "athletes")));
  const Eigen::VectorXd mass = means.mass(known);
  if (stats::is_constant(mass)) return;
  relation.between_for_mass = stats::partial(means.x(known), means.y(known), mass, settings.level);
}

void add_model_for_mass(Relation& relation, const Eigen::VectorXd& mass,
                        const stats::Groups& athletes, const Eigen::VectorXd& x,
                        const Eigen::VectorXd& y, const Settings& settings) {
  if (!std::isfinite(relation.between_for_mass.r) || !mass.array().isFinite().all()) return;
  if (auto fit = stats::fit_within_between(x, y, athletes, settings.level, mass))
    relation.mixed_model_for_mass = std::move(*fit);
}

void add_between(Relation& relation, const Pitches& pitches, const Rows& rows,
                 const stats::Groups& athletes, const Means& means, const Settings& settings) {
  relation.between = stats::pearson(means.x, means.y, settings.level);
  relation.between_spread = stats::standard_deviation(means.x);
  add_mass(relation, means, settings);
  relation.equal_size = at_equal_size(pitches, rows, athletes, means.x, means.y, settings.level);
}

// Neighbouring pitches of one athlete that resemble each other beyond the quantity: fewer pitches
// than it seems. Where their order is known they count for fewer.
void add_neighbours(Relation& relation, const WithinCells& within, const Eigen::VectorXd& x,
                    const Eigen::VectorXd& y) {
  const Eigen::VectorXd dx = (x.array() - x.mean()).matrix();
  const Eigen::VectorXd dy = (y.array() - y.mean()).matrix();
  const Eigen::VectorXd residual = dy - dx * (dx.dot(dy) / dx.squaredNorm());
  relation.neighbour_correlation = stats::lag_one_autocorrelation(residual);
  // Twice the standard error 1 / sqrt(n) of a lag-one autocorrelation (Bartlett 1946).
  if (!within.ordered &&
      relation.neighbour_correlation > 2.0 / std::sqrt(static_cast<double>(x.size())))
    relation.notes.push_back(
        fmt::format("neighbouring pitches resemble each other (autocorrelation {:.2f}), so the "
                    "intervals are narrower than they should be",
                    relation.neighbour_correlation));
}

// Rows less what cells and lines took, before a slope.
double free_rows(const WithinCells& within) {
  return static_cast<double>(within.x.size()) - within.lost + 1.0;
}

double spread_of(const Eigen::VectorXd& left, const WithinCells& within) {
  const double df = free_rows(within);
  return df > 0.0 ? left.norm() / std::sqrt(df) : unknown;
}

stats::Estimate slope_within(const WithinCells& within, double level) {
  const double xx = within.x.squaredNorm(), df = within.told.df;
  if (!std::isfinite(within.told.r) || df < 1.0) return {};
  const double slope = within.x.dot(within.y) / xx;
  const double left = (within.y - slope * within.x).squaredNorm();
  return stats::t_estimate(slope, std::sqrt(left / df / xx), df, level);
}

void add_uncertainty(Relation& relation, const Pitches& pitches, const Rows& rows, int index,
                     const WithinCells& within, const stats::Groups& athletes, const Means& means,
                     const Settings& settings) {
  const double square = mean_square_uncertainty(pitches, rows, index);
  if (!std::isfinite(square)) return;
  if (std::isfinite(relation.repeated_measures.r)) {
    relation.attenuation =
        stats::errors_in_x(within.x, within.y, free_rows(within), square, settings.level);
    if (!(relation.attenuation.reliability > 0.0))
      relation.notes.push_back(fmt::format(
          "the measurement uncertainty ({}) is as large as the spread between pitches ({})",
          amount(std::sqrt(square), std::sqrt(square), relation.quantity),
          amount(relation.within_spread, relation.within_spread, relation.quantity)));
  }
  if (std::isfinite(relation.between.r)) {
    // The mean of n pitches carries u^2 / n.
    const double of_means = square * stats::group_sizes(athletes).cwiseInverse().mean();
    relation.attenuation_between = stats::errors_in_x(
        (means.x.array() - means.x.mean()).matrix(), (means.y.array() - means.y.mean()).matrix(),
        static_cast<double>(relation.athletes) - 1.0, of_means, settings.level);
  }
}

void add_reach(Relation& relation, const WithinCells& within, const Settings& settings) {
  const auto power = settings.power_setting();
  const double needed = stats::pairs_for_correlation(settings.worth, power);
  // A correlation of d degrees of freedom counts as d + 2 pairs: each cell and line costs a pitch,
  // and alike neighbours count for fewer.
  const double count_for = (1.0 - within.likeness) / (1.0 + within.likeness);
  relation.pitches_needed = std::ceil((needed - 2.0) / count_for + within.lost);
  relation.athletes_needed = needed + static_cast<double>(relation.equal_size.given.size());
  if (!std::isfinite(within.told.r)) return;
  relation.smallest_r = stats::smallest_detectable_correlation(within.told.df + 2.0, power);
  relation.smallest_slope =
      relation.smallest_r * spread_of(within.y, within) / relation.within_spread;
}

stats::Estimate plain_slope(const Eigen::VectorXd& x, const Eigen::VectorXd& y, double level) {
  Eigen::MatrixXd line(x.size(), 2);
  line << Eigen::VectorXd::Ones(x.size()), x;
  const auto fit = stats::least_squares(line, y);
  if (!fit) return {};
  return stats::t_estimate(fit->coefficients[1], std::sqrt(fit->covariance(1, 1)), fit->df, level);
}

Relation relation_of(const Pitches& pitches, const Grouping& usable, int index,
                     const Settings& settings) {
  Relation relation;
  relation.quantity = quantity_of(pitches, index);
  relation.tested = relation.quantity.tested;
  // Most often every throw has every number.
  const Rows with = rows_with(pitches, usable.rows, index);
  const bool all = with.size() == usable.rows.size();
  const Grouping own = all ? Grouping{} : grouping_of(pitches, with);
  const Grouping& grouping = all ? usable : own;
  const Rows& rows = grouping.rows;
  relation.pitches = static_cast<int>(rows.size());
  relation.left_out = static_cast<int>(pitches.rows.size()) - relation.pitches;
  const stats::Groups& athletes = grouping.athletes;
  relation.athletes = athletes.count;
  if (rows.empty()) return relation;

  const Eigen::VectorXd x = values(pitches, rows, index);
  const Eigen::VectorXd y = values(pitches, rows, -1);
  relation.tied_values = stats::tied_values(x);
  if (stats::is_constant(x)) {
    relation.notes.push_back(fmt::format("{} is {} in every pitch", plain_name(relation.quantity),
                                         as_it_is(x[0], relation.quantity.unit)));
    return relation;
  }
  const double level = settings.level;
  relation.pearson = stats::pearson(x, y, level);
  relation.spearman = stats::spearman(x, y, level);
  const Strata& strata = grouping.strata;
  relation.strata = {strata.compared, strata.by, strata.alone};
  relation.repeated_measures = stats::repeated_measures(x, y, strata.cells, level);
  const WithinCells within = within_cells(pitches, grouping, index, level);
  relation.within_spread = spread_of(within.x, within);
  relation.likeness = within.likeness;
  if (within.ordered) relation.given_order = within.told;

  const Rows& alike = grouping.alike;
  const stats::Groups& who = grouping.alike_athletes;
  const Means means{stats::group_means(values(pitches, alike, index), who),
                    stats::group_means(values(pitches, alike, -1), who),
                    mean_masses(pitches, alike, who)};
  const bool plain = strata.by.empty() && !within.ordered;
  if (!plain) relation.within_slope = slope_within(within, level);
  if (athletes.count > 1) {
    auto slope = stats::slope_by_group(within.x, within.y, athletes, level);
    if (std::isfinite(relation.repeated_measures.r) &&
        slope.df + 1.0 >= settings.least_athletes_to_resample)
      relation.slope_by_athlete = slope;
    add_between(relation, pitches, alike, who, means, settings);
    auto fit = stats::fit_within_between(x, y, athletes, level);
    if (fit) {
      if (plain) relation.within_slope = fit->within;
      relation.mixed_model = std::move(*fit);
    } else {
      // Of rows and groups otherwise, which here are pitches and athletes.
      relation.no_mixed_model =
          athletes.count == athletes.rows()
              ? "every athlete has one pitch, so pitches and athletes cannot be told apart"
              : fit.error().what;
    }
    add_model_for_mass(relation, mean_masses(pitches, rows, athletes), athletes, x, y, settings);
  } else {
    relation.no_mixed_model = "there is one athlete";
    if (plain) relation.within_slope = plain_slope(x, y, level);
    if (relation.pitches > 3 && std::isfinite(relation.repeated_measures.r))
      add_neighbours(relation, within, x, y);
    if (2 * relation.tied_values > relation.pitches)
      relation.notes.push_back(fmt::format(
          "{} of {} values are tied; in Spearman's correlation they share their mean rank",
          relation.tied_values, relation.pitches));
  }
  add_uncertainty(relation, pitches, rows, index, within, who, means, settings);
  add_reach(relation, within, settings);
  return relation;
}

void resample(Report& report, const Pitches& pitches, const Rows& usable,
              const Settings& settings) {
  const auto athletes = by_athlete(pitches, usable);
  if (athletes.count < settings.least_athletes_to_resample) {
    if (athletes.count > 1)
      report.notes.push_back(fmt::format(
          "{} are too few to resample whole athletes, which takes {}",
          count_of(athletes.count, "athlete", "athletes"), settings.least_athletes_to_resample));
    return;
  }
  Eigen::MatrixXd x(static_cast<Eigen::Index>(usable.size()),
                    static_cast<Eigen::Index>(pitches.quantities.size()));
  for (Eigen::Index q = 0; q < x.cols(); ++q)
    x.col(q) = values(pitches, usable, static_cast<int>(q));
  const auto intervals = stats::bootstrap_relations(x, values(pitches, usable, -1), athletes,
                                                    settings.level, settings.resample);
  for (std::size_t q = 0; q < intervals.size(); ++q) {
    auto& relation = report.relations[q];
    if (relation.athletes < settings.least_athletes_to_resample) continue;
    relation.resampled = intervals[q];
    // Resampling is of whole athletes, whose sessions and types it does not tell apart.
    if (!relation.strata.by.empty() || std::isfinite(relation.given_order.r))
      relation.resampled.within_r = relation.resampled.within_slope = {};
  }
}

template <class Tested>
int adjust(std::vector<Relation>& relations, Tested tested, double Relation::*adjusted) {
  std::vector<double> p;
  p.reserve(relations.size());
  for (const auto& relation : relations)
    p.push_back(relation.tested ? tested(relation).p : unknown);
  const auto values = stats::benjamini_hochberg(p);
  int tests = 0;
  for (std::size_t i = 0; i < relations.size(); ++i) {
    relations[i].*adjusted = values[i];
    tests += std::isnan(values[i]) ? 0 : 1;
  }
  return tests;
}

Verdict judge(const stats::Correlation& correlation, double adjusted_p, const Settings& settings) {
  if (!std::isfinite(correlation.r)) return Verdict::undefined;
  // Three points make a p value but no interval, and nothing to go by.
  if (!std::isfinite(correlation.low)) return Verdict::cannot_tell;
  if (adjusted_p <= settings.false_discovery) return Verdict::shown;
  const bool room = correlation.low < -settings.worth || correlation.high > settings.worth;
  // An interval may lie inside by luck where so few would have missed one worth knowing.
  const bool would_do = stats::smallest_detectable_correlation(
                            correlation.df + 2.0, settings.power_setting()) <= settings.worth;
  return room || !would_do ? Verdict::cannot_tell : Verdict::little;
}

// One common line is a statement about these athletes; it speaks for others only if it stands when
// each of them is left out in turn.
Verdict judge_within(const Relation& relation, const Settings& settings) {
  if (!relation.tested) return Verdict::not_tested;
  const Verdict verdict = judge(tested_within(relation), relation.adjusted_p, settings);
  if (verdict != Verdict::shown || relation.athletes == 1) return verdict;
  return relation.slope_adjusted_p <= settings.false_discovery ? Verdict::shown
                                                               : Verdict::shown_here;
}

Verdict judge_between(const Relation& relation, const Settings& settings) {
  if (!relation.tested) return Verdict::not_tested;
  if (!std::isfinite(relation.between.r)) return Verdict::undefined;
  if (!relation.equal_size.why_not.empty()) return Verdict::cannot_tell;
  const Verdict verdict =
      judge(relation.equal_size.correlation, relation.equal_size_adjusted_p, settings);
  return verdict == Verdict::shown && relation.with_curve_adjusted_p > settings.false_discovery
             ? Verdict::cannot_tell
             : verdict;
}

}  // namespace

const stats::Correlation& tested_within(const Relation& relation) {
  return std::isfinite(relation.given_order.r) ? relation.given_order : relation.repeated_measures;
}

const stats::Estimate& spoken_within(const Relation& relation) {
  return relation.within_verdict == Verdict::shown && relation.athletes > 1
             ? relation.slope_by_athlete
             : relation.within_slope;
}

Report relate(const Pitches& pitches, const Settings& settings) {
  Report report;
  report.ball_speed = pitches.ball_speed;
  report.notes = pitches.notes;
  const Grouping grouping = grouping_of(pitches, rows_with_speed(pitches));
  const Rows& usable = grouping.rows;
  report.rows = static_cast<int>(pitches.rows.size());
  report.rows_left_out = report.rows - static_cast<int>(usable.size());
  report.athletes = grouping.athletes.count;
  const Strata& strata = grouping.strata;
  report.strata = {strata.compared, strata.by, strata.alone};
  if (const auto types = mixed_types(pitches, usable); !types.empty())
    report.notes.push_back(types);
  report.ball_speed_u = std::sqrt(mean_square_uncertainty(pitches, usable, -1));
  for (const int row : usable)
    report.has_mass =
        report.has_mass || std::isfinite(pitches.rows[static_cast<std::size_t>(row)].mass);
  const Eigen::VectorXd speeds = values(pitches, usable, -1);
  if (speeds.size() > 0 && stats::is_constant(speeds))
    report.notes.push_back(fmt::format("ball speed is {} in every pitch, so nothing can go with it",
                                       as_it_is(speeds[0], report.ball_speed.unit)));

  report.relations.resize(pitches.quantities.size());
  // One quantity knows nothing of another: two at a time.
  const auto every_second = [&](std::size_t from) {
    for (std::size_t index = from; index < report.relations.size(); index += 2)
      report.relations[index] = relation_of(pitches, grouping, static_cast<int>(index), settings);
  };
  auto others = std::async(std::launch::async, every_second, 1);
  every_second(0);
  others.get();
  if (!usable.empty()) resample(report, pitches, usable, settings);
  report.trends = trends(pitches, settings);

  report.tests_within = adjust(report.relations, tested_within, &Relation::adjusted_p);
  adjust(report.relations, std::mem_fn(&Relation::slope_by_athlete), &Relation::slope_adjusted_p);
  adjust(report.relations, std::mem_fn(&Relation::between), &Relation::between_adjusted_p);
  report.tests_between = adjust(
      report.relations, [](const Relation& relation) { return relation.equal_size.correlation; },
      &Relation::equal_size_adjusted_p);
  adjust(
      report.relations, [](const Relation& relation) { return relation.equal_size.with_curve; },
      &Relation::with_curve_adjusted_p);
  for (auto& relation : report.relations) {
    relation.within_verdict = judge_within(relation, settings);
    relation.between_verdict = judge_between(relation, settings);
  }
  select(report.relations, report, settings);
  for (auto& relation : report.relations) relation.says = say(relation, report, settings);
  return report;
}

}  // namespace moundwork::relate
