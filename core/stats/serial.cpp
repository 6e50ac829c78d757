// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/serial.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace moundwork::stats {
namespace {

std::vector<std::vector<Eigen::Index>> rows_of_pieces(const Groups& pieces) {
  std::vector<std::vector<Eigen::Index>> rows(static_cast<std::size_t>(pieces.count));
  for (Eigen::Index row = 0; row < pieces.rows(); ++row)
    rows[static_cast<std::size_t>(pieces.of_row[static_cast<std::size_t>(row)])].push_back(row);
  return rows;
}

}  // namespace

Detrended without_lines(const Eigen::VectorXd& centred, const Eigen::VectorXd& order,
                        const Groups& pieces, int least_rows) {
  // Orders are whole numbers, so anything less is what rounding left of a mean.
  constexpr double varies = 1e-6;
  Detrended left{centred, 0};
  const auto take_out = [&](const std::vector<Eigen::Index>& rows) {
    const Eigen::VectorXd z = order(rows);
    if (rows.empty() || z.cwiseAbs().maxCoeff() <= varies) return;
    left.values(rows) -= z * (z.dot(centred(rows)) / z.squaredNorm());
    ++left.lines;
  };
  std::vector<Eigen::Index> of_short;
  for (const auto& rows : rows_of_pieces(pieces)) {
    if (!order(rows).array().isFinite().all()) continue;
    if (rows.size() < static_cast<std::size_t>(least_rows))
      of_short.insert(of_short.end(), rows.begin(), rows.end());
    else
      take_out(rows);
  }
  take_out(of_short);
  return left;
}

double neighbour_likeness(const Eigen::VectorXd& residuals, const Eigen::VectorXd& order,
                          const Groups& pieces, bool lines) {
  constexpr double next = 1.5, greatest = 0.9;
  double products = 0.0, squares = 0.0, pairs = 0.0, rows_in_all = 0.0, pieces_in_all = 0.0;
  for (auto rows : rows_of_pieces(pieces)) {
    if (rows.size() < 2 || !order(rows).array().isFinite().all()) continue;
    std::sort(rows.begin(), rows.end(),
              [&](Eigen::Index a, Eigen::Index b) { return order[a] < order[b]; });
    for (std::size_t i = 1; i < rows.size(); ++i) {
      if (order[rows[i]] - order[rows[i - 1]] > next) continue;
      products += residuals[rows[i]] * residuals[rows[i - 1]];
      pairs += 1.0;
    }
    squares += residuals(rows).squaredNorm();
    rows_in_all += static_cast<double>(rows.size());
    pieces_in_all += 1.0;
  }
  if (pairs < 1.0 || !(squares > 0.0)) return 0.0;
  const double seen = products / pairs / (squares / rows_in_all);
  const double length = rows_in_all / pieces_in_all;
  const double fixed = (lines ? 2.0 : 1.0) / length, by_phi = (lines ? 4.0 : 3.0) / length;
  if (by_phi >= 1.0) return 0.0;
  return std::clamp((seen + fixed) / (1.0 - by_phi), 0.0, greatest);
}

double effective_df(double df, double phi_x, double phi_y) {
  const double shared = phi_x * phi_y;
  if (df < 1.0) return df;
  return std::max(1.0, df * (1.0 - shared) / (1.0 + shared));
}

}  // namespace moundwork::stats
