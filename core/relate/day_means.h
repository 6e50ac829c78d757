// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "core/relate/pitches.h"
#include "core/relate/series.h"

/// An athlete's throws session by session: what changes and retests compare.
namespace moundwork::relate {

/// A quantity over the throws of one session that have it.
struct DayMean {
  int throws = 0;
  double mean = std::numeric_limits<double>::quiet_NaN();
  double sd = std::numeric_limits<double>::quiet_NaN();  ///< NaN below two throws
  /// Standard uncertainty that the throws share, so that the mean has all of it (root mean square
  /// of the throws'); NaN where nothing tells it.
  double shared_u = std::numeric_limits<double>::quiet_NaN();
};

/// Which throws are taken: those of one pitch type, or all where no type is named.
using OnlyType = std::optional<std::string>;

/// What may be compared of two sessions. Throws of different types are not alike, so where both
/// have typed throws each type that both have is compared by itself.
struct Comparable {
  std::vector<OnlyType> each;  ///< empty: nothing
  int untyped = 0;             ///< throws without a type that are left out beside typed ones
};

class Days {
 public:
  explicit Days(const Pitches& pitches);

  /// Labels of an athlete's sessions in order of appearance.
  [[nodiscard]] const std::vector<std::string>& sessions(const std::string& athlete) const;
  [[nodiscard]] const std::vector<std::string>& athletes() const { return athletes_; }
  /// Types of a session's throws, and how many have each; of those without under "".
  [[nodiscard]] const std::map<std::string, int>& types(const std::string& athlete,
                                                        const std::string& session) const;
  [[nodiscard]] Comparable comparable(const std::string& athlete, const std::string& from,
                                      const std::string& to) const;
  /// Of what may be compared, which is not nothing, the type that both sessions have most of.
  [[nodiscard]] OnlyType most_in_common(const std::string& athlete, const std::string& from,
                                        const std::string& to, const Comparable& comparable) const;
  /// `index` as in core/relate/series.h: -1 is ball speed.
  [[nodiscard]] DayMean mean(const std::string& athlete, const std::string& session,
                             const OnlyType& type, int index) const;
  /// Of a member that is the athlete's own, as the mass: its mean over the session's throws.
  [[nodiscard]] double of_athlete(const std::string& athlete, const std::string& session,
                                  double Pitch::*member) const;

 private:
  struct Day {
    Rows rows;
    std::map<std::string, int> types;
  };
  [[nodiscard]] const Day& day(const std::string& athlete, const std::string& session) const;

  const Pitches& pitches_;
  std::vector<std::string> athletes_;
  std::map<std::string, std::vector<std::string>> sessions_;
  std::map<std::pair<std::string, std::string>, Day> days_;
};

}  // namespace moundwork::relate
