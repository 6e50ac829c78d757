// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/mixed_model.h"

#include <Eigen/Cholesky>
#include <Eigen/QR>
#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>
#include <vector>

#include "core/stats/descriptive.h"

namespace moundwork::stats {
namespace {

// X and y reduced to what the likelihood needs. Columns are scaled to unit length so that an
// intercept beside thousands of newtons is well conditioned.
struct Reduced {
  Eigen::VectorXd sizes;  // n_i
  Eigen::MatrixXd XtX;    // p x p
  Eigen::VectorXd Xty;    // p
  double yty = 0.0;
  Eigen::MatrixXd X_sums;  // groups x p
  Eigen::VectorXd y_sums;  // groups
  double rows = 0.0;       // N
};

Reduced reduce(const Eigen::VectorXd& y, const Eigen::MatrixXd& X, const Groups& groups) {
  Reduced reduced;
  reduced.sizes = group_sizes(groups);
  reduced.XtX = X.transpose() * X;
  reduced.Xty = X.transpose() * y;
  reduced.yty = y.squaredNorm();
  reduced.X_sums = Eigen::MatrixXd::Zero(groups.count, X.cols());
  reduced.y_sums = Eigen::VectorXd::Zero(groups.count);
  for (Eigen::Index row = 0; row < y.size(); ++row) {
    const int group = groups.of_row[static_cast<std::size_t>(row)];
    reduced.X_sums.row(group) += X.row(row);
    reduced.y_sums[group] += y[row];
  }
  reduced.rows = static_cast<double>(y.size());
  return reduced;
}

// Everything at one variance ratio. V = I + ratio J in a group of n, so V^-1 = I - w J with
// w = ratio / (1 + n ratio) and |V| = 1 + n ratio.
struct AtRatio {
  Eigen::VectorXd beta;
  Eigen::MatrixXd information_inverse;  // (X' V^-1 X)^-1
  double weighted_residual = 0.0;       // r' V^-1 r
  double criterion = 0.0;               // less the constant that does not depend on the ratio
  double slope = 0.0;                   // its derivative by the ratio
};

AtRatio evaluate(const Reduced& data, double ratio) {
  const Eigen::ArrayXd determinant = 1.0 + ratio * data.sizes.array();
  const Eigen::VectorXd weight = (ratio / determinant).matrix();
  const Eigen::VectorXd weight_slope = determinant.square().inverse().matrix();  // dw / d ratio

  AtRatio at;
  const Eigen::MatrixXd information =
      data.XtX - data.X_sums.transpose() * weight.asDiagonal() * data.X_sums;
  const Eigen::LDLT<Eigen::MatrixXd> factor(information);
  at.information_inverse =
      factor.solve(Eigen::MatrixXd::Identity(information.rows(), information.cols()));
  at.beta = factor.solve(data.Xty - data.X_sums.transpose() * weight.cwiseProduct(data.y_sums));

  const Eigen::VectorXd residual_sums = data.y_sums - data.X_sums * at.beta;
  const double residual_square =
      data.yty - 2.0 * at.beta.dot(data.Xty) + at.beta.dot(data.XtX * at.beta);
  at.weighted_residual = residual_square - weight.dot(residual_sums.cwiseAbs2());

  const double df = data.rows - static_cast<double>(information.rows());
  at.criterion = determinant.log().sum() + factor.vectorD().array().log().sum() +
                 df * std::log(at.weighted_residual);
  const Eigen::MatrixXd information_slope =
      data.X_sums.transpose() * weight_slope.asDiagonal() * data.X_sums;
  at.slope = (data.sizes.array() / determinant).sum() -
             (at.information_inverse.cwiseProduct(information_slope)).sum() -
             df * weight_slope.dot(residual_sums.cwiseAbs2()) / at.weighted_residual;
  return at;
}

// The criterion may have more than one minimum, so the whole axis is walked first: twenty steps a
// decade over ratios from hidden by rounding to a residual that is as good as nil.
double best_ratio(const Reduced& data) {
  std::vector<double> grid{0.0};
  for (int step = -160; step <= 160; ++step) grid.push_back(std::pow(10.0, step / 20.0));
  std::vector<AtRatio> at;
  at.reserve(grid.size());
  for (const double ratio : grid) at.push_back(evaluate(data, ratio));

  double best = 0.0;
  double least =
      at.front().slope >= 0.0 ? at.front().criterion : std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < grid.size(); ++i) {
    if (!(at[i].slope < 0.0 && at[i + 1].slope >= 0.0)) continue;
    boost::uintmax_t steps = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(
        [&](double ratio) { return evaluate(data, ratio).slope; }, grid[i], grid[i + 1],
        at[i].slope, at[i + 1].slope, boost::math::tools::eps_tolerance<double>(50), steps);
    const double ratio = 0.5 * (low + high);
    const double criterion = evaluate(data, ratio).criterion;
    if (criterion < least) {
      least = criterion;
      best = ratio;
    }
  }
  return std::isfinite(least) ? best : grid.back();
}

bool every_group_has_one_row(const Groups& groups) { return groups.count == groups.rows(); }

}  // namespace

Result<RandomIntercept> fit_random_intercept(const Eigen::VectorXd& y, const Eigen::MatrixXd& X,
                                             const Groups& groups) {
  if (X.rows() != y.size() || groups.rows() != y.size())
    throw std::invalid_argument("one row of X and one group for each y are needed");
  if (groups.count < 2)
    return fail("mixed model", "one group has no spread between groups",
                "use the plain correlation");
  if (every_group_has_one_row(groups))
    return fail("mixed model", "every group has one row, so rows and groups cannot be told apart",
                "use the correlation between groups");
  if (y.size() <= X.cols() + 1)
    return fail("mixed model", "too few rows for the number of predictors");

  // About its mean: a ball speed of 40 with a spread of 0.5 would otherwise lose digits in r' r.
  const double centre = y.mean();
  const Eigen::VectorXd scale = X.colwise().norm().transpose();
  if ((scale.array() == 0.0).any()) return fail("mixed model", "a predictor is zero in every row");
  const Eigen::MatrixXd scaled = X * scale.cwiseInverse().asDiagonal();
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(scaled);
  qr.setThreshold(1e-10);
  if (qr.rank() < X.cols())
    return fail("mixed model", "a predictor is constant or a copy of the others");
  // Orthonormal columns in place of X: the same model, with all the digits of QR. The least-squares
  // part of y is taken out too, so that the quadratic form of the residual does not cancel.
  const Eigen::MatrixXd Q = qr.householderQ() * Eigen::MatrixXd::Identity(X.rows(), X.cols());
  const Eigen::VectorXd y_centred = (y.array() - centre).matrix();
  const Eigen::VectorXd plain = Q.transpose() * y_centred;
  const Eigen::VectorXd remainder = y_centred - Q * plain;
  if (remainder.squaredNorm() <=
      1e-24 * std::max(y_centred.squaredNorm(), std::numeric_limits<double>::min()))
    return fail("mixed model", "the outcome is constant or fitted exactly");

  const Reduced data = reduce(remainder, Q, groups);
  const double ratio = best_ratio(data);
  const AtRatio at = evaluate(data, ratio);
  const double df = data.rows - static_cast<double>(X.cols());
  const double residual_variance = at.weighted_residual / df;

  RandomIntercept fit;
  fit.sd_residual = std::sqrt(residual_variance);
  fit.sd_group = std::sqrt(ratio * residual_variance);
  fit.at_boundary = ratio == 0.0;
  // Back from Q to X: X P = Q R in scaled columns.
  const auto p = X.cols();
  const Eigen::MatrixXd R = qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>();
  const Eigen::MatrixXd inverse_of_r =
      R.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(p, p));
  const Eigen::MatrixXd to_units =
      scale.cwiseInverse().asDiagonal() * (qr.colsPermutation() * inverse_of_r);
  const Eigen::VectorXd in_q = plain + at.beta;
  // The mean taken out of y belongs to the intercept: project it on X like y.
  const Eigen::VectorXd of_centre = Q.transpose() * Eigen::VectorXd::Constant(X.rows(), centre);
  fit.coefficients = to_units * (in_q + of_centre);
  fit.covariance = to_units * at.information_inverse * to_units.transpose() * residual_variance;
  // |X' V^-1 X| = |Q' V^-1 Q| |R|^2 |scale|^2.
  const double log_units =
      2.0 * (R.diagonal().cwiseAbs().array().log().sum() + scale.array().log().sum());
  constexpr double two_pi = 6.283185307179586476925;
  fit.criterion = at.criterion + log_units + df * (std::log(two_pi / df) + 1.0);

  const Eigen::VectorXd residual_sums = data.y_sums - data.X_sums * at.beta;
  fit.group_effects = (ratio / (1.0 + ratio * data.sizes.array()) * residual_sums.array()).matrix();
  return fit;
}

Result<WithinBetween> fit_within_between(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                                         const Groups& groups, double level,
                                         const std::optional<Eigen::VectorXd>& group_covariate) {
  const Eigen::VectorXd means = group_means(x, groups);
  const Eigen::VectorXd deviation = x - spread_to_rows(means, groups);
  const double rounding = 64.0 * std::numeric_limits<double>::epsilon() *
                          (x.size() > 0 ? x.cwiseAbs().maxCoeff() : 0.0);
  const bool has_within = deviation.size() > 0 && deviation.cwiseAbs().maxCoeff() > rounding;
  const bool has_covariate = group_covariate && !is_constant(*group_covariate);
  // As many coefficients between groups as groups would leave nothing to tell their spread from.
  const int spare = groups.count - 2 - (has_covariate ? 1 : 0);
  if (has_covariate && spare < 1)
    return fail("mixed model", "too few groups to adjust for the covariate");
  const bool has_between =
      spare >= 1 && means.size() > 0 && means.maxCoeff() - means.minCoeff() > rounding;
  if (!has_within && !has_between) return fail("mixed model", "the predictor is constant");

  std::vector<Eigen::VectorXd> columns{Eigen::VectorXd::Ones(x.size())};
  if (has_within) columns.push_back(deviation);
  // About the grand mean of the group means: the slope is the same, the digits are better.
  if (has_between)
    columns.push_back(spread_to_rows((means.array() - means.mean()).matrix(), groups));
  if (has_covariate)
    columns.push_back(
        spread_to_rows((group_covariate->array() - group_covariate->mean()).matrix(), groups));
  Eigen::MatrixXd X(x.size(), static_cast<Eigen::Index>(columns.size()));
  for (std::size_t i = 0; i < columns.size(); ++i) X.col(static_cast<Eigen::Index>(i)) = columns[i];

  auto model = fit_random_intercept(y, X, groups);
  if (!model) return tl::unexpected(model.error());
  WithinBetween fit;
  const double k = groups.count;
  const double n = static_cast<double>(x.size());
  Eigen::Index column = 1;
  const auto take = [&](double df) {
    const Estimate estimate = t_estimate(model->coefficients[column],
                                         std::sqrt(model->covariance(column, column)), df, level);
    ++column;
    return estimate;
  };
  if (has_within) fit.within = take(n - k - 1.0);
  if (has_between) fit.between = take(k - 2.0 - (has_covariate ? 1.0 : 0.0));
  fit.model = std::move(*model);
  return fit;
}

}  // namespace moundwork::stats
