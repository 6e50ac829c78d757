// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/correlation.h"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "core/stats/descriptive.h"
#include "core/stats/distributions.h"

namespace moundwork::stats {
namespace {

// What is left of a column after centring may be nothing but rounding: relative to the size of the
// values it came from.
bool vanishes(const Eigen::VectorXd& centred, const Eigen::VectorXd& original) {
  const double scale = original.size() > 0 ? original.cwiseAbs().maxCoeff() : 0.0;
  return centred.size() == 0 ||
         centred.cwiseAbs().maxCoeff() <= 64.0 * std::numeric_limits<double>::epsilon() * scale;
}

Correlation with_interval(double r, double df, double se_of_z, double level) {
  Correlation correlation{r, df};
  if (!std::isfinite(r) || df < 1.0) return correlation;
  if (std::abs(r) >= 1.0) {
    correlation.p = 0.0;
    correlation.low = correlation.high = r;
    return correlation;
  }
  correlation.p = t_two_sided_p(r * std::sqrt(df / (1.0 - r * r)), df);
  if (std::isfinite(se_of_z)) {
    const double half_width = normal_quantile(0.5 + 0.5 * level) * se_of_z;
    correlation.low = std::tanh(std::atanh(r) - half_width);
    correlation.high = std::tanh(std::atanh(r) + half_width);
  }
  return correlation;
}

double cosine(const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  return std::clamp(a.dot(b) / (a.norm() * b.norm()), -1.0, 1.0);
}

double fisher_error(double df) {
  return df > 1.0 ? 1.0 / std::sqrt(df - 1.0) : std::numeric_limits<double>::quiet_NaN();
}

Correlation of_centred(const Eigen::VectorXd& x_centred, const Eigen::VectorXd& y_centred,
                       const Eigen::VectorXd& x, const Eigen::VectorXd& y, double df,
                       double level) {
  if (vanishes(x_centred, x) || vanishes(y_centred, y))
    return Correlation{std::numeric_limits<double>::quiet_NaN(), df};
  return with_interval(cosine(x_centred, y_centred), df, fisher_error(df), level);
}

void require_pairs(const Eigen::VectorXd& x, const Eigen::VectorXd& y) {
  if (x.size() != y.size()) throw std::invalid_argument("a correlation needs pairs");
}

Eigen::VectorXd centred(const Eigen::VectorXd& x) { return (x.array() - x.mean()).matrix(); }

Eigen::VectorXd without_line(const Eigen::VectorXd& x_centred, const Eigen::VectorXd& z_centred) {
  return x_centred - z_centred * (z_centred.dot(x_centred) / z_centred.squaredNorm());
}

}  // namespace

Correlation pearson(const Eigen::VectorXd& x, const Eigen::VectorXd& y, double level) {
  require_pairs(x, y);
  if (x.size() == 0) return {};
  return of_centred(centred(x), centred(y), x, y, static_cast<double>(x.size()) - 2.0, level);
}

Correlation spearman(const Eigen::VectorXd& x, const Eigen::VectorXd& y, double level) {
  require_pairs(x, y);
  const double n = static_cast<double>(x.size());
  if (x.size() == 0 || is_constant(x) || is_constant(y))
    return Correlation{std::numeric_limits<double>::quiet_NaN(), n - 2.0};
  const double rho = cosine(centred(mid_ranks(x)), centred(mid_ranks(y)));
  const double se = n > 3.0 ? std::sqrt((1.0 + 0.5 * rho * rho) / (n - 3.0))
                            : std::numeric_limits<double>::quiet_NaN();
  return with_interval(rho, n - 2.0, se, level);
}

Correlation repeated_measures(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                              const Groups& groups, double level) {
  require_pairs(x, y);
  const double df = static_cast<double>(x.size() - groups.count - 1);
  return of_centred(within_groups(x, groups), within_groups(y, groups), x, y, df, level);
}

Correlation partial(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                    const Eigen::VectorXd& covariate, double level) {
  require_pairs(x, y);
  require_pairs(x, covariate);
  if (x.size() == 0) return {};
  const Eigen::VectorXd z = centred(covariate);
  if (vanishes(z, covariate)) return pearson(x, y, level);
  const double df = static_cast<double>(x.size()) - 3.0;
  return of_centred(without_line(centred(x), z), without_line(centred(y), z), x, y, df, level);
}

Correlation partial_given(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                          const Eigen::MatrixXd& covariates, double level) {
  require_pairs(x, y);
  if (x.size() == 0) return {};
  Eigen::MatrixXd given(x.size(), covariates.cols() + 1);
  given << Eigen::VectorXd::Ones(x.size()), covariates;
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(given);
  const Eigen::VectorXd x_left = x - given * qr.solve(x), y_left = y - given * qr.solve(y);
  return of_centred(x_left, y_left, x, y, static_cast<double>(x.size() - qr.rank() - 1), level);
}

Correlation residual_correlation(const Eigen::VectorXd& x_left, const Eigen::VectorXd& y_left,
                                 const Eigen::VectorXd& x, const Eigen::VectorXd& y, double df,
                                 double level) {
  return of_centred(x_left, y_left, x, y, df, level);
}

Correlation at_level(const Correlation& correlation, double level) {
  return std::isfinite(correlation.low)
             ? with_interval(correlation.r, correlation.df, fisher_error(correlation.df), level)
             : correlation;
}

}  // namespace moundwork::stats
