// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/reliability.h"

#include <cmath>
#include <stdexcept>

#include "core/stats/descriptive.h"
#include "core/stats/distributions.h"

namespace moundwork::stats {
namespace {

// (F - 1) / (F + k - 1) at the point and at both ends of its interval; the same for the mean of k.
Icc from_f(double f, double df_above, double df_below, double k, double level) {
  const double tail = 0.5 + 0.5 * level;
  const double f_low = f / f_quantile(tail, df_above, df_below);
  const double f_high = f * f_quantile(tail, df_below, df_above);
  const auto icc = [k](double ratio) { return (ratio - 1.0) / (ratio + k - 1.0); };
  return {icc(f), icc(f_low), icc(f_high)};
}

// Spearman-Brown: what the reliability of one session makes of the mean of k.
Icc of_mean(const Icc& single, double k) {
  const auto step_up = [k](double icc) { return k * icc / (1.0 + (k - 1.0) * icc); };
  return {step_up(single.value), step_up(single.low), step_up(single.high)};
}

// McGraw and Wong's interval for (2,1), with Satterthwaite's degrees of freedom.
Icc two_way_random(const IccTable& t, double n, double k, double level) {
  Icc icc;
  icc.value = (t.between_ms - t.residual_ms) /
              (t.between_ms + (k - 1.0) * t.residual_ms + k * (t.session_ms - t.residual_ms) / n);
  const double rho = icc.value;
  const double f_session = t.session_ms / t.residual_ms;
  const double a = k * rho * f_session;
  const double b = n * (1.0 + (k - 1.0) * rho) - k * rho;
  const double df = (k - 1.0) * (n - 1.0) * (a + b) * (a + b) / ((n - 1.0) * a * a + b * b);
  const double tail = 0.5 + 0.5 * level;
  const double f_low = f_quantile(tail, n - 1.0, df);
  const double f_high = f_quantile(tail, df, n - 1.0);
  const double rest = k * t.session_ms + (k * n - k - n) * t.residual_ms;
  icc.low = n * (t.between_ms - f_low * t.residual_ms) / (f_low * rest + n * t.between_ms);
  icc.high = n * (f_high * t.between_ms - t.residual_ms) / (rest + n * f_high * t.between_ms);
  return icc;
}

}  // namespace

IccTable intraclass_correlations(const Eigen::MatrixXd& table, double level) {
  if (table.rows() < 2 || table.cols() < 2 || !table.allFinite())
    throw std::invalid_argument("an ICC needs a complete table of two rows and columns or more");
  const double n = static_cast<double>(table.rows());
  const double k = static_cast<double>(table.cols());
  const Eigen::ArrayXXd centred = table.array() - table.mean();
  const double between = k * centred.rowwise().mean().square().sum();
  const double sessions = n * centred.colwise().mean().square().sum();
  // Residuals from both means, not a difference of large sums.
  const Eigen::ArrayXXd from_rows = centred.colwise() - centred.rowwise().mean();
  const Eigen::ArrayXXd residual = from_rows.rowwise() - centred.colwise().mean();

  IccTable icc;
  icc.between_ms = between / (n - 1.0);
  icc.within_ms = from_rows.square().sum() / (n * (k - 1.0));
  icc.session_ms = sessions / (k - 1.0);
  icc.residual_ms = residual.square().sum() / ((n - 1.0) * (k - 1.0));
  if (icc.within_ms > 0.0) {
    icc.one_one = from_f(icc.between_ms / icc.within_ms, n - 1.0, n * (k - 1.0), k, level);
    icc.one_k = of_mean(icc.one_one, k);
  }
  if (icc.residual_ms > 0.0) {
    icc.three_one =
        from_f(icc.between_ms / icc.residual_ms, n - 1.0, (n - 1.0) * (k - 1.0), k, level);
    icc.three_k = of_mean(icc.three_one, k);
    icc.two_one = two_way_random(icc, n, k, level);
    icc.two_k = of_mean(icc.two_one, k);
  }
  return icc;
}

RepeatedIcc repeated_pitch_icc(const Eigen::VectorXd& y, const Groups& athletes, double level) {
  RepeatedIcc icc;
  const double rows = static_cast<double>(y.size());
  const double k = athletes.count;
  if (athletes.count < 1 || rows <= k) return icc;
  const Eigen::VectorXd sizes = group_sizes(athletes);
  const Eigen::VectorXd means = group_means(y, athletes);
  const double within = (y - spread_to_rows(means, athletes)).squaredNorm() / (rows - k);
  icc.typical_error = std::sqrt(within);
  if (athletes.count < 2) return icc;
  icc.pitches = (rows - sizes.squaredNorm() / rows) / (k - 1.0);
  const double between = sizes.dot((means.array() - y.mean()).square().matrix()) / (k - 1.0);
  if (within > 0.0) icc.single = from_f(between / within, k - 1.0, rows - k, icc.pitches, level);
  return icc;
}

TestRetest test_retest(const Eigen::VectorXd& first, const Eigen::VectorXd& second, double level) {
  if (first.size() != second.size() || first.size() < 2)
    throw std::invalid_argument("test and retest need the same two athletes or more");
  const double z = normal_quantile(0.5 + 0.5 * level);
  Eigen::MatrixXd table(first.size(), 2);
  table << first, second;
  const Eigen::VectorXd change = second - first;

  TestRetest result;
  result.athletes = static_cast<int>(first.size());
  result.mean_change = change.mean();
  result.sd_change = standard_deviation(change);
  result.typical_error = result.sd_change / std::sqrt(2.0);
  result.typical_error_percent = 100.0 * result.typical_error / table.mean();
  result.icc = intraclass_correlations(table, level);
  result.standard_error =
      standard_deviation(table.reshaped()) * std::sqrt(1.0 - result.icc.three_one.value);
  result.minimal_detectable_change = z * std::sqrt(2.0) * result.typical_error;
  result.agreement_low = result.mean_change - z * result.sd_change;
  result.agreement_high = result.mean_change + z * result.sd_change;
  return result;
}

}  // namespace moundwork::stats
