// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>

#include "core/stats/groups.h"

/// Series that come one after the other: what drifts along them, and what neighbours share.
namespace moundwork::stats {

/// What is left of a series once a straight line along its order is taken out of each piece.
struct Detrended {
  Eigen::VectorXd values;
  int lines = 0;  ///< taken out, a degree of freedom each
};

/// `centred` and `order` are about their strata's means already (rows); a piece (a session) holds
/// whole strata. Pieces of at least `least_rows` have a line of their own, shorter ones share one.
/// A piece with an order that is not known (NaN) or does not vary has none.
[[nodiscard]] Detrended without_lines(const Eigen::VectorXd& centred, const Eigen::VectorXd& order,
                                      const Groups& pieces, int least_rows);

/// How alike neighbours are: lag-one autocorrelation of residuals over all pieces, rows in the
/// order of `order` (neighbours differ by one), made up for the bias that centring and a line leave
/// in short pieces: -(1 + 3 phi) / n for a mean (Kendall 1954, Biometrika 41:403), -(2 + 4 phi) / n
/// with a line (the same expansion; held against simulation). 0 to 0.9; 0 where nothing is known.
[[nodiscard]] double neighbour_likeness(const Eigen::VectorXd& residuals,
                                        const Eigen::VectorXd& order, const Groups& pieces,
                                        bool lines);

/// Degrees of freedom of a correlation of two series whose neighbours are alike: so many times
/// (1 - phi_x phi_y) / (1 + phi_x phi_y) (Bartlett 1935, J R Stat Soc 98:536). At least 1 of any
/// that are.
[[nodiscard]] double effective_df(double df, double phi_x, double phi_y);

}  // namespace moundwork::stats
