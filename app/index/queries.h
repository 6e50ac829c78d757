// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/index/index.h"
#include "core/base/measured.h"
#include "core/definitions/catalogue.h"
#include "core/session/session.h"
#include "core/summary/group.h"

/// Questions to the index; SI units, throws that were excluded by hand left out of every mean.
namespace moundwork::index {

struct ListedAthlete {
  std::string id, name, born;
  session::Hand throws = session::Hand::right;
  int sessions = 0;
  int throw_count = 0;      ///< without the excluded ones
  std::string first, last;  ///< ISO 8601 starts; empty without a session
  std::string forgotten;    ///< when deletion began, where something could not be removed
};
[[nodiscard]] Result<std::vector<ListedAthlete>> athletes(const Index& index);

/// An athlete by id, or by a name that only one has.
[[nodiscard]] Result<ListedAthlete> find_athlete(const Index& index, const std::string& who);

struct Location {
  std::string station, path;
  std::string problem;  ///< why it could not be deleted; usually empty
};
struct ListedSession {
  std::string id, athlete, started, day, origin, made;
  std::optional<int> age;  ///< whole years
  int throw_count = 0, excluded_count = 0;
  std::vector<Location> locations;
};
/// In order of their start; of one athlete, or all when empty.
[[nodiscard]] Result<std::vector<ListedSession>> sessions(const Index& index,
                                                          const std::string& athlete = {});

/// One quantity over one session.
struct SessionMean {
  std::string session, started, day;
  std::optional<int> age;
  int n = 0;        ///< throws
  Measured mean;    ///< u: of one throw, root mean square; most of it is shared by all throws
  double sd = 0.0;  ///< between throws; NaN for one
  double lowest = 0.0, highest = 0.0;
};
/// An athlete's sessions in order of their start.
[[nodiscard]] Result<std::vector<SessionMean>> history(const Index& index,
                                                       const std::string& athlete,
                                                       definitions::Quantity quantity);

struct GroupFilter {
  std::optional<int> age_from, age_to;  ///< whole years at the session, both included
  bool age_unknown_too = false;         ///< where an age is asked for, also those without one
  std::optional<session::Hand> throws;
  int least_throws = 1;  ///< a session with fewer of the quantity is passed over
};
struct Member {
  std::string athlete, session, started, day;
  int n = 0;
  Measured mean;
};
/// Each athlete once, with the latest session that the filter lets through and that has the
/// quantity; ascending by mean.
[[nodiscard]] Result<std::vector<Member>> group(const Index& index, definitions::Quantity quantity,
                                                const GroupFilter& filter);

/// The same for all quantities, without `athlete`, as a summary sets an athlete beside others:
/// whom `wanted` wants of those that the filter lets through.
[[nodiscard]] Result<summary::Group> group_beside(const Index& index, const std::string& athlete,
                                                  GroupFilter filter, summary::Group wanted);

struct ListedExport {
  Location location;
  std::string kind, made;
  int others = 0;  ///< other athletes in the same file
};
[[nodiscard]] Result<std::vector<ListedExport>> exports(const Index& index,
                                                        const std::string& athlete);

}  // namespace moundwork::index
