// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/relate/session_input.h"

namespace moundwork::summary {

/// Whole years at the session, both included.
struct Ages {
  int from = 0, to = 0;
  bool unknown_too = false;  ///< also those whose age is not known
};

/// Who may stand beside an athlete, as a person asks for it. Unasked, nobody under 18 is set beside
/// others or counts among them: a child's place among adults says nothing, and few of one age make
/// one child's number plain to all.
struct OthersAsked {
  bool any_age = false;       ///< everyone, those under 18 too
  std::optional<int> within;  ///< years either way of the athlete's age, those under 18 too
};

inline constexpr int of_age = 18;
/// Either way, when nothing else is asked and the athlete's age is known.
inline constexpr int usual_years = 2;

/// Where the others were measured.
enum class GroupFrom { given, together, lab_folder, lab_index };

/// Why an athlete is not set beside others at all.
enum class NoGroup { none, under_age, no_age };

/// The other athletes whom one is set beside, from files or from an index: one value each.
struct Group {
  GroupFrom from = GroupFrom::given;
  std::optional<Ages> ages;          ///< of the others; any where there is none
  NoGroup why_none = NoGroup::none;  ///< then nothing else is set
  int athletes = 0;                  ///< the others
  /// By quantity key: each other athlete's mean over the counted throws of the latest session,
  /// in SI. An athlete without the quantity is missing there.
  std::map<std::string, std::vector<double>> means;
  int without_age = 0;  ///< left out, since ages were asked for and theirs is not known
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
  /// Where the percentile may lie among all whom these others stand for: Wilson's (1927) interval
  /// of a share, 95 %, in percent. With 20 others it is some 40 wide at the middle.
  [[nodiscard]] std::pair<double, double> percentile_interval() const;
};
[[nodiscard]] Place place_of(double value, const std::vector<double>& others);

/// Whom an athlete of this age (whole years; not known in older sessions) is set beside: a group
/// without anyone in it yet, to be filled unless it says why there is none.
[[nodiscard]] Group group_wanted(std::optional<int> age, const OthersAsked& asked, GroupFrom from);

/// The same with everyone in `sessions` but `athlete` (by id, else name) whom it wants; excluded
/// throws do not count. Where ages are wanted, only sessions of that age.
[[nodiscard]] Group group_from_sessions(const std::vector<relate::AnalysedSession>& sessions,
                                        const session::Athlete& athlete, Group wanted);

/// Who the others are, in whole sentences, for the page.
[[nodiscard]] std::string group_words(const std::optional<Group>& group);

}  // namespace moundwork::summary
