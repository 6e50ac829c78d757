// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <span>
#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/stats/correlation.h"
#include "core/stats/groups.h"

/// What is compared with what: throws of one athlete, on one day, of one type, delivery, ball and
/// effort. What differs between those differs for reasons of its own.
namespace moundwork::relate {

struct Strata {
  stats::Groups cells;          ///< of the rows; the athletes where nothing else is told
  std::vector<std::string> by;  ///< beside the athlete: "session", "pitch_type", ... where told
  int compared = 0;             ///< cells of two rows or more
  int alone = 0;                ///< rows that are their cell's only one, and so compared with none
};
/// Effort goes by tenths of the greatest.
[[nodiscard]] Strata strata_of(const Pitches& pitches, std::span<const int> rows);

/// Rows of the type that most of them are of: what a mean of an athlete is taken over.
[[nodiscard]] std::vector<int> rows_of_one_type(const Pitches& pitches, std::span<const int> rows);
/// How many there are of each type, as a sentence; empty where all are of one.
[[nodiscard]] std::string mixed_types(const Pitches& pitches, std::span<const int> rows);

/// All that rows are told apart by: found once for the rows of many quantities.
struct Grouping {
  std::vector<int> rows;
  stats::Groups athletes, sessions;
  Strata strata;
  std::vector<int> alike;        ///< rows_of_one_type()
  stats::Groups alike_athletes;  ///< of those
};
[[nodiscard]] Grouping grouping_of(const Pitches& pitches, std::vector<int> rows);

/// A quantity and ball speed, each less its cell's mean and the drift along its session.
struct WithinCells {
  Eigen::VectorXd x, y;     ///< rows
  bool ordered = false;     ///< whether the throws' order was known and taken out
  double lost = 0.0;        ///< degrees of freedom that all of it cost, with the relation's own
  double likeness = 0.0;    ///< of neighbours, in both: what makes throws count for fewer
  stats::Correlation told;  ///< of x and y, by the degrees of freedom that are left
};
/// `index` of the quantity; rows have it and the ball speed.
[[nodiscard]] WithinCells within_cells(const Pitches& pitches, const Grouping& grouping, int index,
                                       double level);

}  // namespace moundwork::relate
