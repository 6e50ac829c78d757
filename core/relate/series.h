// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <span>
#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/stats/groups.h"

namespace moundwork::relate {

/// Which rows are used, and columns of those rows.
using Rows = std::vector<int>;

/// Rows with an athlete: all whose numbers have a mean, a scatter and a change.
[[nodiscard]] Rows rows_of_athletes(const Pitches& pitches);
/// Those with a ball speed as well: all that can go with it.
[[nodiscard]] Rows rows_with_speed(const Pitches& pitches);
/// Those of `rows` where quantity `index` is known; index -1 stands for ball speed.
[[nodiscard]] Rows rows_with(const Pitches& pitches, std::span<const int> rows, int index);

[[nodiscard]] const Measured& value_of(const Pitch& pitch, int index);
[[nodiscard]] const Quantity& quantity_of(const Pitches& pitches, int index);
[[nodiscard]] Eigen::VectorXd values(const Pitches& pitches, std::span<const int> rows, int index);
[[nodiscard]] Eigen::VectorXd numbers(const Pitches& pitches, std::span<const int> rows);

[[nodiscard]] stats::Groups by_athlete(const Pitches& pitches, std::span<const int> rows);
/// Athlete and session together: sessions of different athletes may share a label.
[[nodiscard]] stats::Groups by_session(const Pitches& pitches, std::span<const int> rows);

/// Mean square of the known uncertainties of a quantity; NaN when none is known.
[[nodiscard]] double mean_square_uncertainty(const Pitches& pitches, std::span<const int> rows,
                                             int index);

}  // namespace moundwork::relate
