// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "app/index/index.h"
#include "app/index/queries.h"

/// Deleting an athlete: session files with their companions, exports, rows. docs/lab-index.md says
/// what this can reach.
namespace moundwork::index {

enum class Reach {
  here,       ///< can be deleted now
  gone,       ///< listed, but no more there
  elsewhere,  ///< on another station
  away,       ///< on a disk or share that is not there now
  other,      ///< another session lies under the listed name now: not to be touched
};

/// A listed file.
struct Doomed {
  enum class Kind { session, exported } kind = Kind::session;
  std::string session;  ///< identity; empty for an export
  std::string station, path, what;
  Reach reach = Reach::here;
  std::uintmax_t bytes = 0;
  int others = 0;  ///< other athletes in the same export
  /// All that goes with it. Of a session: its companion, summary pages and a simulated one's truth
  /// under its name, the athlete's weigh-ins in the lab's folder, what a kill left of these.
  std::vector<std::filesystem::path> files;
};

struct ForgetPlan {
  ListedAthlete athlete;
  int sessions = 0, throws = 0, edits = 0;  ///< rows
  std::vector<Doomed> listed;
};

/// What would go. Changes nothing.
[[nodiscard]] Result<ForgetPlan> plan_forgetting(const Index& index, const std::string& athlete);

struct LeftBehind {
  std::string station, path;
  std::string problem;  ///< why
};
struct Forgotten {
  std::vector<std::string> deleted;   ///< files
  std::vector<LeftBehind> left;       ///< still listed in the index, each with its reason
  std::vector<std::string> not_ours;  ///< listed files that hold another session now, kept
  std::vector<std::string> remarks;   ///< sentences without their full stop
};

/// Deletes files first, then rows, so that whatever fails is still listed. An athlete of whom
/// something is left keeps an id and the places left, no name, birth date or number. The identities
/// of the sessions stay as "not to be taken in again".
[[nodiscard]] Result<Forgotten> carry_out(const Index& index, const ForgetPlan& plan);

}  // namespace moundwork::index
