// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/relate/session_input.h"

namespace moundwork::summary {

/// The other athletes whom one is set beside, from files or from an index: one value each.
struct Group {
  std::string says;  ///< who they are, e.g. "measured on the same day, of any age and size"
  int athletes = 0;  ///< the others
  /// By quantity key: each other athlete's mean over the counted throws of the latest session,
  /// in SI. An athlete without the quantity is missing there.
  std::map<std::string, std::vector<double>> means;
  int without_age = 0;   ///< left out, since ages were asked for and theirs is not known
  std::string why_none;  ///< a sentence, where this athlete cannot be set beside others
};

/// With fewer others a place says more about who came than about the athlete, and a dot would show
/// one person's number.
inline constexpr int least_others = 3;
/// From so many on a percentile is given.
inline constexpr int least_for_percentile = 20;

struct Place {
  int others = 0;
  int below = 0;  ///< others with a smaller value
  int equal = 0;
  /// 100 (below + equal / 2) / others: the mid-rank percentile among the others.
  [[nodiscard]] double percentile() const;
};
[[nodiscard]] Place place_of(double value, const std::vector<double>& others);

/// Whole years at the session, both included.
struct Ages {
  int from = 0, to = 0;
};
/// Everyone in `sessions` but `athlete` (by id, else name); excluded throws do not count. With
/// `ages`, only sessions of that age; without a date of birth a session then does not count.
[[nodiscard]] Group group_from_sessions(const std::vector<relate::AnalysedSession>& sessions,
                                        const session::Athlete& athlete, std::string says,
                                        std::optional<Ages> ages = {});

}  // namespace moundwork::summary
