// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/relate/equal_size.h"

#include <array>
#include <cmath>

#include "core/base/sentence.h"
#include "core/stats/descriptive.h"
#include "core/stats/regression.h"

namespace moundwork::relate {
namespace {

// Mean of what is known of each athlete; NaN of nothing.
Eigen::VectorXd means_of(const Pitches& pitches, const std::vector<int>& rows,
                         const stats::Groups& athletes, double Pitch::*fact) {
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(athletes.count);
  Eigen::VectorXd known = Eigen::VectorXd::Zero(athletes.count);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double value = pitches.rows[static_cast<std::size_t>(rows[i])].*fact;
    if (!std::isfinite(value)) continue;
    sum[athletes.of_row[i]] += value;
    known[athletes.of_row[i]] += 1.0;
  }
  return sum.cwiseQuotient(known);
}

struct Covariate {
  const char* name;
  double Pitch::*fact;
  bool as_logarithm;
};
constexpr std::array<Covariate, 3> covariates{{
    {"mass", &Pitch::mass, true},
    {"height", &Pitch::height, false},
    {"age", &Pitch::age, false},
}};

// Beyond the covariates: fewer make a partial correlation of nothing.
constexpr int least_athletes = 10;

}  // namespace

EqualSize at_equal_size(const Pitches& pitches, const std::vector<int>& rows,
                        const stats::Groups& athletes, const Eigen::VectorXd& x,
                        const Eigen::VectorXd& y, double level) {
  EqualSize equal;
  const Eigen::VectorXd mass = means_of(pitches, rows, athletes, &Pitch::mass);
  std::vector<Eigen::Index> who;
  for (Eigen::Index i = 0; i < mass.size(); ++i)
    if (mass[i] > 0.0) who.push_back(i);
  equal.athletes = static_cast<int>(who.size());
  if (who.empty()) {
    equal.why_not = sentence(
        "Body masses are not given, so between athletes size cannot be told from technique.");
    return equal;
  }
  Eigen::MatrixXd given(equal.athletes, 0);
  for (const Covariate& covariate : covariates) {
    Eigen::VectorXd of = means_of(pitches, rows, athletes, covariate.fact)(who);
    if (!of.array().isFinite().all() || stats::is_constant(of)) continue;
    if (covariate.as_logarithm) of = of.array().log().matrix();
    given.conservativeResize(Eigen::NoChange, given.cols() + 1);
    given.rightCols<1>() = of;
    equal.given.emplace_back(covariate.name);
  }
  const int wanted = least_athletes + static_cast<int>(given.cols());
  if (equal.athletes < wanted) {
    equal.why_not = sentence(
        "Between athletes, {athletes} are too few to compare at equal size and age, which takes "
        "{wanted}.",
        "athletes"_is(equal.athletes), "wanted"_is(wanted));
    return equal;
  }
  equal.correlation = stats::partial_given(x(who), y(who), given, level);
  if (!equal.given.empty() && equal.given.back() == "age" && equal.athletes > wanted) {
    const Eigen::VectorXd age = given.rightCols<1>();
    Eigen::MatrixXd curved(equal.athletes, given.cols() + 1);
    curved << given, (age.array() - age.mean()).square().matrix();
    equal.with_curve = stats::partial_given(x(who), y(who), curved, level);
  }
  Eigen::MatrixXd columns(equal.athletes, given.cols() + 2);
  columns << Eigen::VectorXd::Ones(equal.athletes), x(who), given;
  if (const auto fit = stats::least_squares(columns, y(who)))
    equal.slope =
        stats::t_estimate(fit->coefficients[1], std::sqrt(fit->covariance(1, 1)), fit->df, level);
  return equal;
}

}  // namespace moundwork::relate
