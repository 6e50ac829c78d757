// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/relate/pitches.h"
#include "core/relate/settings.h"
#include "core/stats/reliability.h"

namespace moundwork::relate {

/// How well a quantity repeats, from pitch to pitch and from session to session.
struct Repeatability {
  Quantity quantity;
  int athletes = 0;            ///< with two pitches or more in their first session
  stats::RepeatedIcc pitches;  ///< first sessions only, so that days do not mix in
  double pitch_sem = std::numeric_limits<double>::quiet_NaN();  ///< SD sqrt(1 - ICC(1,1))
  double pitch_mdc = std::numeric_limits<double>::quiet_NaN();  ///< between two single pitches

  int sessions = 0;    ///< of the test-retest table; 0 when no athlete has two
  int retested = 0;    ///< athletes in it
  bool named = false;  ///< its sessions were named as retests
  std::optional<stats::IccTable> session_icc;  ///< of session means
  std::optional<stats::TestRetest> retest;     ///< when the table has two sessions
  double session_typical_error = std::numeric_limits<double>::quiet_NaN();  ///< sqrt(EMS)
  double session_df = 0.0;                                                  ///< of it
  double session_mdc = std::numeric_limits<double>::quiet_NaN();  ///< t sqrt 2 typical error
  std::string says;
};

/// Ball speed first, then every quantity. Where retests were named they make the table, each
/// athlete's first; else sessions count in the order in which an athlete's first appear in the
/// rows, as many as every athlete with two has: those hold training and growth as well.
[[nodiscard]] std::vector<Repeatability> repeatability(const Pitches& pitches,
                                                       const Settings& settings);

/// Labels of an athlete's sessions in order of appearance.
[[nodiscard]] std::vector<std::string> sessions_of(const Pitches& pitches,
                                                   const std::string& athlete);

}  // namespace moundwork::relate
