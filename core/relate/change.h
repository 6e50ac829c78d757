// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/relate/pitches.h"
#include "core/relate/settings.h"

namespace moundwork::relate {

/// What the limit of a change rests on.
enum class LimitSource {
  given,        ///< a typical error that the user brought
  retest,       ///< others' named retests, beside scatter and measurement
  few_pitches,  ///< a given one, but scatter and measurement are more
  pitches,      ///< scatter and measurement alone: days may differ by more
  none
};

/// What is said of a difference.
enum class ChangeWord {
  cannot_tell,     ///< there is no limit
  not_alike,       ///< the sessions' pitch types differ, so nothing is judged
  within,          ///< the limit
  beyond_scatter,  ///< and measurement; how much days differ by is not known
  beyond_days      ///< more than days differ by anyway
};
/// For programs: "beyond what days differ by".
[[nodiscard]] std::string_view name_of(ChangeWord word);

/// A member of the athlete's own on both days, where both are known and differ as they are shown.
struct Grown {
  double from = std::numeric_limits<double>::quiet_NaN();
  double to = std::numeric_limits<double>::quiet_NaN();
  std::string unit;
};

/// Mass and height stand beside a change: who has grown pushes harder whatever they learned.
struct Growth {
  std::optional<Grown> mass, height;
  std::string says;
};

/// One athlete's quantity in two sessions.
struct Change {
  std::string athlete;
  Quantity quantity;
  int index = -1;          ///< of it in Pitches::quantities, -1 for ball speed
  std::string pitch_type;  ///< of the throws that are compared; empty: no types are told
  std::string from, to;    ///< session labels
  int pitches_from = 0;
  int pitches_to = 0;
  double mean_from = std::numeric_limits<double>::quiet_NaN();
  double mean_to = std::numeric_limits<double>::quiet_NaN();
  double difference = std::numeric_limits<double>::quiet_NaN();
  double limit = std::numeric_limits<double>::quiet_NaN();
  LimitSource source = LimitSource::none;
  std::string_view limit_of;  ///< for programs, what went into it: "scatter, measurement and days"
  /// What the throws of a session share of the measurement's uncertainty is known.
  bool measurement_known = false;
  int looked_at = 1;  ///< numbers of the athlete that were judged at once
  /// From day to day, of a session's mean, beyond scatter and measurement; as given, where it is.
  double typical_error = std::numeric_limits<double>::quiet_NaN();
  int retested = 0;  ///< other athletes whose named retests went into it
  ChangeWord word = ChangeWord::cannot_tell;
  bool real = false;  ///< beyond what days differ by
  std::optional<Growth> growth;
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
  /// Whose changes; everybody's where it is empty. The others' retests count all the same.
  std::vector<std::string> athletes;
  bool main_type = false;  ///< of several pitch types only the one that both sessions have most of
};

/// Differences of session means, each with its limit (core/relate/change_limit.h). One is called
/// real only where others' named retests, or a given typical error, tell what days differ by: a
/// given one counts by z sqrt 2 x typical error, where that is more than scatter and measurement.
/// Limits are set for all of an athlete's numbers together. Throws of different pitch types are
/// never compared (core/relate/day_means.h). Fails when no athlete has the two sessions.
[[nodiscard]] Result<ChangeReport> find_changes(const Pitches& pitches,
                                                const ChangeRequest& request,
                                                const Settings& settings);

}  // namespace moundwork::relate
