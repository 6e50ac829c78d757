// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/relate/pitches.h"
#include "core/relate/settings.h"

namespace moundwork::relate {

/// What the limit of a real change rests on.
enum class LimitSource {
  given,        ///< a typical error that the user brought
  retest,       ///< this table's own athletes, measured in two sessions or more
  few_pitches,  ///< either of these, but the scatter of so few pitches is larger
  pitches,      ///< scatter from pitch to pitch only: days may differ by more, so a least limit
  none
};

/// One athlete's quantity in two sessions.
struct Change {
  std::string athlete;
  Quantity quantity;
  std::string from, to;  ///< session labels
  int pitches_from = 0;
  int pitches_to = 0;
  double mean_from = std::numeric_limits<double>::quiet_NaN();
  double mean_to = std::numeric_limits<double>::quiet_NaN();
  double difference = std::numeric_limits<double>::quiet_NaN();
  double limit = std::numeric_limits<double>::quiet_NaN();
  LimitSource source = LimitSource::none;
  double typical_error = std::numeric_limits<double>::quiet_NaN();  ///< of a session's mean
  bool real = false;
  std::string says;
};

struct ChangeReport {
  std::vector<Change> changes;
  int compared = 0;  ///< differences with a limit
  std::vector<std::string> notes;
};

struct ChangeRequest {
  std::optional<std::string> from;               ///< first session of each athlete when not told
  std::optional<std::string> to;                 ///< last session likewise
  std::map<std::string, double> typical_errors;  ///< by quantity key, in its unit
};

/// Difference of session means, called real only beyond both the minimal detectable change
/// t sqrt 2 x typical error and what the scatter from pitch to pitch makes of so many pitches,
/// t sqrt(s1^2/n1 + s2^2/n2). t is Student's at the typical error's own degrees of freedom, which
/// comes to the usual 1.96 for many athletes and is honest for few; with fewer than four of them
/// the table's own retest is not used. Fails when no athlete has the two sessions.
[[nodiscard]] Result<ChangeReport> find_changes(const Pitches& pitches,
                                                const ChangeRequest& request,
                                                const Settings& settings);

}  // namespace moundwork::relate
