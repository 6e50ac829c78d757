// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/relation.h"

#include <fmt/format.h>

#include <cmath>

#include "core/base/unknown.h"
#include "core/relate/relation_words.h"
#include "core/relate/series.h"
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

void add_mass(Relation& relation, const Means& means, const stats::Groups& athletes,
              const Eigen::VectorXd& x, const Eigen::VectorXd& y, const Settings& settings) {
  std::vector<Eigen::Index> known;
  for (Eigen::Index i = 0; i < means.mass.size(); ++i)
    if (std::isfinite(means.mass[i])) known.push_back(i);
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
  if (known.size() < static_cast<std::size_t>(means.mass.size())) return;
  if (auto fit = stats::fit_within_between(x, y, athletes, settings.level, means.mass))
    relation.mixed_model_for_mass = std::move(*fit);
}

void add_order(Relation& relation, const Pitches& pitches, const Rows& rows, int index,
               const Settings& settings) {
  Rows numbered;
  for (const int row : rows)
    if (std::isfinite(pitches.rows[static_cast<std::size_t>(row)].number)) numbered.push_back(row);
  if (numbered.size() < 4) return;
  relation.given_order = stats::repeated_measures_given(
      values(pitches, numbered, index), values(pitches, numbered, -1), numbers(pitches, numbered),
      by_session(pitches, numbered), settings.level);
}

// Neighbouring pitches of one athlete that resemble each other beyond the quantity: fewer pitches
// than it seems.
void add_neighbours(Relation& relation, const Eigen::VectorXd& x, const Eigen::VectorXd& y) {
  const Eigen::VectorXd dx = (x.array() - x.mean()).matrix();
  const Eigen::VectorXd dy = (y.array() - y.mean()).matrix();
  const Eigen::VectorXd residual = dy - dx * (dx.dot(dy) / dx.squaredNorm());
  relation.neighbour_correlation = stats::lag_one_autocorrelation(residual);
  // Twice the standard error 1 / sqrt(n) of a lag-one autocorrelation (Bartlett 1946).
  if (relation.neighbour_correlation > 2.0 / std::sqrt(static_cast<double>(x.size())))
    relation.notes.push_back(
        fmt::format("neighbouring pitches resemble each other (autocorrelation {:.2f}), so the "
                    "intervals are narrower than they should be",
                    relation.neighbour_correlation));
}

void add_uncertainty(Relation& relation, const Pitches& pitches, const Rows& rows, int index,
                     const stats::Groups& athletes, const Means& means, const Settings& settings) {
  const double square = mean_square_uncertainty(pitches, rows, index);
  if (!std::isfinite(square)) return;
  if (std::isfinite(relation.repeated_measures.r)) {
    relation.attenuation = stats::errors_in_x(
        stats::within_groups(values(pitches, rows, index), athletes),
        stats::within_groups(values(pitches, rows, -1), athletes),
        static_cast<double>(relation.pitches - relation.athletes), square, settings.level);
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

void add_reach(Relation& relation, double y_spread, const Settings& settings) {
  const auto power = settings.power_setting();
  const double needed = stats::pairs_for_correlation(settings.worth, power);
  // A repeated-measures correlation counts as df + 2 pairs: each athlete costs one pitch.
  relation.pitches_needed = needed - 1.0 + relation.athletes;
  relation.athletes_needed = needed;
  if (!std::isfinite(relation.repeated_measures.r)) return;
  relation.smallest_r =
      stats::smallest_detectable_correlation(relation.repeated_measures.df + 2.0, power);
  relation.smallest_slope = relation.smallest_r * y_spread / relation.within_spread;
}

double within_spread(const Eigen::VectorXd& x, const stats::Groups& athletes) {
  const double df = static_cast<double>(x.size() - athletes.count);
  return df > 0.0 ? stats::within_groups(x, athletes).norm() / std::sqrt(df) : unknown;
}

stats::Estimate plain_slope(const Eigen::VectorXd& x, const Eigen::VectorXd& y, double level) {
  Eigen::MatrixXd line(x.size(), 2);
  line << Eigen::VectorXd::Ones(x.size()), x;
  const auto fit = stats::least_squares(line, y);
  if (!fit) return {};
  return stats::t_estimate(fit->coefficients[1], std::sqrt(fit->covariance(1, 1)), fit->df, level);
}

Relation relation_of(const Pitches& pitches, const Rows& usable, int index,
                     const Settings& settings) {
  Relation relation;
  relation.quantity = quantity_of(pitches, index);
  const Rows rows = rows_with(pitches, usable, index);
  relation.pitches = static_cast<int>(rows.size());
  relation.left_out = static_cast<int>(pitches.rows.size()) - relation.pitches;
  const auto athletes = by_athlete(pitches, rows);
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
  relation.repeated_measures = stats::repeated_measures(x, y, athletes, level);
  relation.within_spread = within_spread(x, athletes);
  add_order(relation, pitches, rows, index, settings);

  const Means means{stats::group_means(x, athletes), stats::group_means(y, athletes),
                    mean_masses(pitches, rows, athletes)};
  if (athletes.count > 1) {
    auto slope = stats::slope_by_group(x, y, athletes, level);
    if (std::isfinite(relation.repeated_measures.r) &&
        slope.df + 1.0 >= settings.least_athletes_to_resample)
      relation.slope_by_athlete = slope;
    relation.between = stats::pearson(means.x, means.y, level);
    relation.between_spread = stats::standard_deviation(means.x);
    add_mass(relation, means, athletes, x, y, settings);
    auto fit = stats::fit_within_between(x, y, athletes, level);
    if (fit) {
      relation.within_slope = fit->within;
      relation.mixed_model = std::move(*fit);
    } else {
      // Of rows and groups otherwise, which here are pitches and athletes.
      relation.no_mixed_model =
          athletes.count == athletes.rows()
              ? "every athlete has one pitch, so pitches and athletes cannot be told apart"
              : fit.error().what;
    }
  } else {
    relation.no_mixed_model = "there is one athlete";
    relation.within_slope = plain_slope(x, y, level);
    if (relation.pitches > 3 && std::isfinite(relation.repeated_measures.r))
      add_neighbours(relation, x, y);
    if (2 * relation.tied_values > relation.pitches)
      relation.notes.push_back(fmt::format(
          "{} of {} values are tied; in Spearman's correlation they share their mean rank",
          relation.tied_values, relation.pitches));
  }
  add_uncertainty(relation, pitches, rows, index, athletes, means, settings);
  add_reach(relation, within_spread(y, athletes), settings);
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
    if (relation.athletes >= settings.least_athletes_to_resample) relation.resampled = intervals[q];
  }
}

template <class Tested>
int adjust(std::vector<Relation>& relations, Tested Relation::*tested, double Relation::*adjusted) {
  std::vector<double> p;
  p.reserve(relations.size());
  for (const auto& relation : relations) p.push_back((relation.*tested).p);
  const auto values = stats::benjamini_hochberg(p);
  int tests = 0;
  for (std::size_t i = 0; i < relations.size(); ++i) {
    relations[i].*adjusted = values[i];
    tests += std::isnan(values[i]) ? 0 : 1;
  }
  return tests;
}

// An interval that rests on no normal spread of athletes must agree.
bool contradicted(const stats::BootstrapInterval& interval) {
  return std::isfinite(interval.low) && interval.low <= 0.0 && interval.high >= 0.0;
}

Verdict judge(const stats::Correlation& correlation, double adjusted_p, const Settings& settings) {
  if (!std::isfinite(correlation.r)) return Verdict::undefined;
  // Three points make a p value but no interval, and nothing to go by.
  if (!std::isfinite(correlation.low)) return Verdict::cannot_tell;
  if (adjusted_p <= settings.false_discovery) return Verdict::shown;
  const bool room = correlation.low < -settings.worth || correlation.high > settings.worth;
  return room ? Verdict::cannot_tell : Verdict::little;
}

// One common line is a statement about these athletes; it speaks for others only if it stands when
// each of them is left out in turn.
Verdict judge_within(const Relation& relation, const Settings& settings) {
  const Verdict verdict = judge(relation.repeated_measures, relation.adjusted_p, settings);
  if (verdict != Verdict::shown || relation.athletes == 1) return verdict;
  return relation.slope_adjusted_p <= settings.false_discovery ? Verdict::shown
                                                               : Verdict::shown_here;
}

Verdict judge_between(const Relation& relation, const Settings& settings) {
  const Verdict verdict = judge(relation.between, relation.between_adjusted_p, settings);
  return verdict == Verdict::shown && contradicted(relation.resampled.between_r)
             ? Verdict::cannot_tell
             : verdict;
}

}  // namespace

Report relate(const Pitches& pitches, const Settings& settings) {
  Report report;
  report.ball_speed = pitches.ball_speed;
  report.notes = pitches.notes;
  const Rows usable = rows_with_speed(pitches);
  report.rows = static_cast<int>(pitches.rows.size());
  report.rows_left_out = report.rows - static_cast<int>(usable.size());
  report.athletes = by_athlete(pitches, usable).count;
  report.ball_speed_u = std::sqrt(mean_square_uncertainty(pitches, usable, -1));
  for (const int row : usable)
    report.has_mass =
        report.has_mass || std::isfinite(pitches.rows[static_cast<std::size_t>(row)].mass);
  const Eigen::VectorXd speeds = values(pitches, usable, -1);
  if (speeds.size() > 0 && stats::is_constant(speeds))
    report.notes.push_back(fmt::format("ball speed is {} in every pitch, so nothing can go with it",
                                       as_it_is(speeds[0], report.ball_speed.unit)));

  for (int index = 0; index < static_cast<int>(pitches.quantities.size()); ++index)
    report.relations.push_back(relation_of(pitches, usable, index, settings));
  if (!usable.empty()) resample(report, pitches, usable, settings);
  report.trends = trends(pitches, settings);

  report.tests_within =
      adjust(report.relations, &Relation::repeated_measures, &Relation::adjusted_p);
  adjust(report.relations, &Relation::slope_by_athlete, &Relation::slope_adjusted_p);
  report.tests_between =
      adjust(report.relations, &Relation::between, &Relation::between_adjusted_p);
  for (auto& relation : report.relations) {
    relation.within_verdict = judge_within(relation, settings);
    relation.between_verdict = judge_between(relation, settings);
    relation.says = say(relation, report, settings);
  }
  return report;
}

}  // namespace moundwork::relate
