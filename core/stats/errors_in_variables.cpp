// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/errors_in_variables.h"

#include <cmath>

namespace moundwork::stats {

Attenuation errors_in_x(const Eigen::VectorXd& x_centred, const Eigen::VectorXd& y_centred,
                        double df_x, double mean_square_u, double level) {
  Attenuation attenuation;
  const double df = df_x - 1.0;
  const double sum_xx = x_centred.squaredNorm();
  if (!(df > 0.0) || !(sum_xx > 0.0)) return attenuation;
  const double sum_xy = x_centred.dot(y_centred);

  const double plain = sum_xy / sum_xx;
  const double plain_variance = (y_centred - plain * x_centred).squaredNorm() / df;
  attenuation.plain = t_estimate(plain, std::sqrt(plain_variance / sum_xx), df, level);

  const double variance_x = sum_xx / df_x;
  const double true_variance = variance_x - mean_square_u;
  attenuation.reliability = true_variance / variance_x;
  if (!(true_variance > 0.0)) return attenuation;
  const double corrected = sum_xy / df_x / true_variance;
  const double s_vv = (y_centred - corrected * x_centred).squaredNorm() / df;
  const double variance =
      (variance_x * s_vv + corrected * corrected * mean_square_u * mean_square_u) /
      (true_variance * true_variance * df_x);
  attenuation.corrected = t_estimate(corrected, std::sqrt(variance), df, level);
  return attenuation;
}

}  // namespace moundwork::stats
