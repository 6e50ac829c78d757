// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <limits>

#include "core/stats/groups.h"

namespace moundwork::stats {

/// An intraclass correlation with its interval from F.
struct Icc {
  double value = std::numeric_limits<double>::quiet_NaN();
  double low = std::numeric_limits<double>::quiet_NaN();
  double high = std::numeric_limits<double>::quiet_NaN();
};

/// The forms of Shrout and Fleiss 1979 (Psych Bull 86:420), intervals as in McGraw and Wong 1996
/// (Psych Methods 1:30). (1,.) sessions of no order, (2,.) sessions drawn from many, (3,.) these
/// sessions only; (.,k) for the mean of all k.
struct IccTable {
  Icc one_one, two_one, three_one;
  Icc one_k, two_k, three_k;
  double between_ms = 0.0;   ///< BMS, athletes
  double within_ms = 0.0;    ///< WMS
  double session_ms = 0.0;   ///< JMS
  double residual_ms = 0.0;  ///< EMS
};

/// Complete table, athletes x sessions; two or more of each, finite values. NaN where the table has
/// no spread.
[[nodiscard]] IccTable intraclass_correlations(const Eigen::MatrixXd& table, double level);

/// One-way forms from repeated pitches, any number an athlete.
struct RepeatedIcc {
  Icc single;                                                       ///< of one pitch, (1,1)
  double typical_error = std::numeric_limits<double>::quiet_NaN();  ///< sqrt of the within MS
  double pitches = 0.0;  ///< n0, the number of an equal design that carries the same weight
};

/// With unequal numbers n0 = (N - sum n^2 / N) / (k - 1) stands for the number of pitches (common
/// practice), which makes the interval approximate.
[[nodiscard]] RepeatedIcc repeated_pitch_icc(const Eigen::VectorXd& y, const Groups& athletes,
                                             double level);

/// Two sessions of the same athletes.
struct TestRetest {
  int athletes = 0;
  double mean_change = 0.0;  ///< second minus first
  double sd_change = 0.0;
  double typical_error = 0.0;          ///< sd_change / sqrt 2, which is sqrt(EMS)
  double typical_error_percent = 0.0;  ///< of the grand mean
  /// SD of all values x sqrt(1 - ICC(3,1)): the other way to the same idea, not equal to
  /// typical_error in a sample.
  double standard_error = 0.0;
  /// z sqrt 2 x typical_error: two sessions differ by less than this by chance alone with
  /// probability `level`.
  double minimal_detectable_change = 0.0;
  double agreement_low = 0.0;  ///< limits of agreement, mean_change -+ z sd_change
  double agreement_high = 0.0;
  IccTable icc;
};

/// Equal sizes, two athletes or more.
[[nodiscard]] TestRetest test_retest(const Eigen::VectorXd& first, const Eigen::VectorXd& second,
                                     double level);

}  // namespace moundwork::stats
