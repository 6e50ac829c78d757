// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>

/// The one limit beyond which a difference is more than chance. Whatever tells of a change asks
/// here, so that there is one limit and one t.
namespace moundwork::relate {

/// How many standard errors a difference may reach by chance at this level, two-sided: Student's t
/// at the error's degrees of freedom, the normal's where they are infinite. `looked_at` numbers
/// judged at once share what is allowed by chance evenly (Bonferroni, from Dunn 1961).
[[nodiscard]] double beyond_chance(double level, double df, int looked_at = 1);

/// What days of one athlete differ by with nothing changed on purpose, from others' retests.
struct DayVariation {
  int athletes = 0;  ///< as many degrees of freedom
  /// Mean square of the differences of the two sessions' means. About 0, not about their mean: a
  /// shift that all retests have is what days differ by too (Dahlberg's error of a method).
  double square = std::numeric_limits<double>::quiet_NaN();
  /// Of it, what the scatter of the throws and the shared uncertainty of measurement account for.
  double explained = 0.0;

  /// From day to day beyond scatter and measurement, of one day's mean.
  [[nodiscard]] double typical_error() const;
};

/// With fewer athletes t reaches so far that no change a coach meets would lie beyond it, and one
/// odd retest decides.
inline constexpr int least_retested = 5;

struct LimitParts {
  double scatter = std::numeric_limits<double>::quiet_NaN();  ///< s1^2/n1 + s2^2/n2
  double scatter_df = 0.0;                                    ///< Welch-Satterthwaite
  double measured = 0.0;  ///< u1^2 + u2^2, of what each session's throws share
  DayVariation days;      ///< counts from `least_retested` athletes on
};

/// Mean squares and degrees of freedom of a difference of two means (Welch 1947).
[[nodiscard]] LimitParts scatter_of(double sd_from, int n_from, double sd_to, int n_to);

/// The larger of
///   sqrt(t^2 (s1^2/n1 + s2^2/n2) + z^2 (u1^2 + u2^2) + t_day^2 2 s_day^2)
/// and, with retests, t_day times the root mean square of the retests' own differences: s_day is
/// what is left of those when scatter and measurement are taken off, which for few retests is
/// often 0 by luck. Without a scatter (one throw in a session) the second alone. NaN where there is
/// neither. That false changes stay within what is allowed is shown in docs/relate.md.
[[nodiscard]] double limit_of(const LimitParts& parts, double level, int looked_at);

}  // namespace moundwork::relate
