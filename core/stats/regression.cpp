// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/regression.h"

#include <fmt/format.h>

#include <Eigen/QR>
#include <cmath>
#include <stdexcept>

namespace moundwork::stats {

Result<LinearFit> least_squares(const Eigen::MatrixXd& X, const Eigen::VectorXd& y) {
  if (X.rows() != y.size()) throw std::invalid_argument("one row of X for each y is needed");
  if (X.rows() <= X.cols())
    return fail("regression",
                fmt::format("{} rows cannot determine {} coefficients and their uncertainty",
                            X.rows(), X.cols()));
  // Columns of very different size (an intercept beside newtons) would be taken for dependent.
  const Eigen::VectorXd scale = X.colwise().norm().transpose();
  if ((scale.array() == 0.0).any()) return fail("regression", "a predictor is zero in every row");
  const Eigen::MatrixXd scaled = X * scale.cwiseInverse().asDiagonal();
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(scaled);
  qr.setThreshold(1e-11);
  if (qr.rank() < X.cols())
    return fail("regression", "a predictor is constant or a copy of the others");

  LinearFit fit;
  Eigen::VectorXd solution = qr.solve(y);
  // One step of refinement wins back the digits that badly scaled data lose.
  solution += qr.solve(y - scaled * solution);
  fit.residuals = y - scaled * solution;
  fit.coefficients = solution.cwiseQuotient(scale);
  fit.df = static_cast<double>(X.rows() - X.cols());
  const double sse = fit.residuals.squaredNorm();
  fit.residual_sd = std::sqrt(sse / fit.df);
  const double total = (y.array() - y.mean()).square().sum();
  fit.r_squared = 1.0 - sse / total;

  const auto p = X.cols();
  const Eigen::MatrixXd r_inverse =
      qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>().solve(
          Eigen::MatrixXd::Identity(p, p));
  const Eigen::MatrixXd permuted = qr.colsPermutation() * r_inverse;
  const Eigen::MatrixXd in_units = scale.cwiseInverse().asDiagonal() * permuted;
  fit.covariance = in_units * in_units.transpose() * fit.residual_sd * fit.residual_sd;
  return fit;
}

}  // namespace moundwork::stats
